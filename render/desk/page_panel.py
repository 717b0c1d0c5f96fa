"""The page exactly as it prints, redrawn while the text is typed.

A chord of the page is a button: a click or Enter opens its card and moves the cursor of the text
there; a click on a bar or on the neck map below it moves the cursor to the bar. The bar of the
cursor is marked on the page. Of a page that changed only the parts that differ are sent.
"""

from __future__ import annotations

import json
from typing import Any

from nicegui import ui
from nicegui.events import GenericEventArguments

from ...grammar.sheet import Sheet
from .bars import bar_at, bar_at_beat_share, place_of
from .page_changes import PageParts, parts_of, splices_between
from .session import Session

#: Sizes of the page in per cent of the panel's width.
ZOOMS = (50, 60, 80, 100, 130, 170, 220)


def page_panel(session: Session) -> None:
    """The pages of the open tune; those of the last good text stay while it is wrong."""
    with (
        ui.element("section")
        .classes("pages")
        .props('tabindex="0" aria-label="Page of the tune"') as panel
    ):
        _View(panel)
        papers: list[_Paper] = []

    def show() -> None:
        pages = session.desk.shown.pages
        with panel:
            while len(papers) < len(pages):
                papers.append(_Paper())
        for paper, page in zip(papers, pages, strict=False):
            paper.show(page)
        for paper in papers[len(pages) :]:
            paper.delete()
        del papers[len(pages) :]
        stale = not session.desk.work.good
        panel.classes(add="stale" if stale else "", remove="" if stale else "stale")
        panel.client.run_javascript("import('/static/page.js').then((page) => page.dress())")

    def chosen(event: GenericEventArguments) -> None:
        place: dict[str, Any] = event.args
        sheet = session.desk.shown.sheet
        if sheet is None:
            return
        index = _index(place.get("chord"), len(sheet.chords))
        if index is not None:
            session.choose_chord(index)
            session.go_to(sheet.chords[index].position)
            return
        bar = _bar(place, sheet)
        if bar is not None:
            session.go_to(place_of(sheet, session.desk.text, bar))

    def mark() -> None:
        desk = session.desk
        sheet = desk.shown.sheet
        bar = None if sheet is None else bar_at(sheet, desk.text, desk.cursor)
        number = "null" if sheet is None or bar is None else sheet.bars[bar].number
        panel.client.run_javascript(
            f"import('/static/page.js').then((page) => page.mark({number}))"
        )

    def whole(event: GenericEventArguments) -> None:
        for paper in papers:
            if paper.html_id == event.args:
                paper.update()

    ui.on("desk_page", whole)
    panel.on("choose", chosen, js_handler="(event) => emit(event.detail)")
    session.listen("work", show)
    session.listen("work", mark)
    session.listen("cursor", mark)


class _Paper(ui.html):
    """A page in the browser: sent whole at first, and then by the parts of it that changed.

    A browser that does not hold the page that the parts belong to asks for the whole one.
    """

    _in_parts = False

    def __init__(self) -> None:
        super().__init__("", sanitize=False)
        self.classes("paper")
        self.parts = PageParts("", ())

    def show(self, page: str) -> None:
        """Draw another page."""
        if page == self.content:
            return
        before, self.parts = self.parts, parts_of(page)
        splices = splices_between(before, self.parts)
        self._in_parts = splices is not None
        self.set_content(page)
        self._in_parts = False
        if splices is not None:
            changes = [(one.start, one.removed, one.added) for one in splices]
            given = json.dumps([self.html_id, len(before.parts), changes], ensure_ascii=False)
            script = f"import('/static/page.js').then((page) => page.change(...{given}))"
            self.client.run_javascript(script)

    def update(self) -> None:
        """Send the whole page, unless its parts are sent."""
        if not self._in_parts:
            super().update()


def _index(value: Any, count: int) -> int | None:
    return value if isinstance(value, int) and 0 <= value < count else None


def _bar(place: dict[str, Any], sheet: Sheet) -> int | None:
    """The bar that was clicked: by its number, or on the small neck map by the share of beats."""
    share = place.get("share")
    if isinstance(share, (int, float)) and sheet.bars:
        return bar_at_beat_share(sheet, min(max(share, 0.0), 1.0))
    number = place.get("bar")
    return next((at for at, bar in enumerate(sheet.bars) if bar.number == number), None)


class _View:
    """How large the pages are and how many stand beside each other; by buttons and keys."""

    def __init__(self, panel: ui.element) -> None:
        self.panel = panel
        self.at = ZOOMS.index(100)
        self.two = False
        with ui.element("div").classes("zoom").props('role="group" aria-label="View of the page"'):
            smaller = ui.button("−", on_click=lambda: self.step(-1))
            smaller.props('flat dense aria-label="Smaller page" aria-keyshortcuts="-"')
            with ui.element("span").props('role="status"'):
                self.size = ui.label("100 %")
            larger = ui.button("+", on_click=lambda: self.step(1))
            larger.props('flat dense aria-label="Larger page" aria-keyshortcuts="+"')
            self.beside = ui.button("Two pages", on_click=self.turn)
            self.beside.props('flat dense no-caps aria-pressed="false" aria-keyshortcuts="2"')
        panel.on("view", self.key, js_handler="(event) => emit(event.detail)")

    def key(self, event: GenericEventArguments) -> None:
        """A key that was pressed at the page."""
        if event.args == "2":
            self.turn()
        elif event.args in ("+", "-"):
            self.step(1 if event.args == "+" else -1)
        else:
            self.step(ZOOMS.index(100) - self.at)

    def step(self, by: int) -> None:
        """A larger or smaller page."""
        self.at = max(0, min(len(ZOOMS) - 1, self.at + by))
        self.size.text = f"{ZOOMS[self.at]} %"
        self.panel.style(f"--zoom: {ZOOMS[self.at] / 100}")

    def turn(self) -> None:
        """One page below the other, or two beside each other."""
        self.two = not self.two
        self.panel.classes(add="two" if self.two else "", remove="" if self.two else "two")
        self.beside.props(f'aria-pressed="{str(self.two).lower()}"')
