"""The page exactly as it prints, redrawn while the text is typed.

A chord of the page is a button: a click or Enter opens its card and moves the cursor of the text
there; a click on a bar or on the neck map below it moves the cursor to the bar. The bar of the
cursor is marked on the page. Of a page that changed only the parts that differ are sent.
"""

from __future__ import annotations

import json
from itertools import chain, repeat
from typing import Any

from nicegui import ui
from nicegui.events import GenericEventArguments

from ...grammar.sheet import Sheet
from .page_changes import PageParts, change_between, parts_of
from .session import Desk, Session
from .text_places import bar_at, bar_at_beat_share, place_of

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
        with ui.element("div").classes("no-page").props('role="status"'):
            missing = ui.label()
        papers = Papers()
    marked: list[int | None] = [None]

    def show() -> None:
        desk = session.desk
        papers.show(desk.shown.pages)
        missing.text = _why_missing(desk)
        stale = not desk.work.good
        panel.classes(add="stale" if stale else "", remove="" if stale else "stale")

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
        number = None if sheet is None or bar is None else sheet.bars[bar].number
        if [number] != marked:
            marked[:] = [number]
            papers.call("mark", number)

    ui.on("desk_page", papers.show_whole)
    panel.on("choose", chosen, js_handler="(event) => emit(event.detail)")
    session.listen("work", show)
    session.listen("work", mark)
    session.listen("cursor", mark)


def _why_missing(desk: Desk) -> str:
    """Why there is no page at all; "" where there is one."""
    if desk.shown.good or desk.work.good:
        return ""
    if desk.work.problems:
        return "No page yet: mend the mistakes below the text."
    return f"No page yet. {desk.work.message}"


class Papers(ui.element):
    """The pages in the browser: sent whole at first, and then by the parts of them that changed.

    Every state of the pages has a version. A browser that does not hold the one that parts belong
    to, or not all of its parts, asks for all pages. `static/page.js` makes the elements of the
    pages: an element of NiceGUI would reach the browser before the scripts that were sent earlier.
    """

    def __init__(self) -> None:
        super().__init__("div")
        self.classes("papers")
        self.pages: tuple[str, ...] = ()
        self._parts: tuple[PageParts, ...] = ()
        self._version = 0

    def show(self, pages: tuple[str, ...]) -> None:
        """Draw other pages."""
        if self._version and pages == self.pages:
            return
        before, self._parts = self._parts, tuple(map(parts_of, pages))
        changes = [
            None if old == new else _change(old, new) or page
            for page, old, new in zip(pages, chain(before, repeat(None)), self._parts, strict=False)
        ]
        self.pages, self._version = pages, self._version + 1
        self.call("show", self._version - 1, self._version, changes)

    def show_whole(self) -> None:
        """Send all pages once more, to a browser that asks for them."""
        self.call("show", None, self._version, self.pages)

    def call(self, function: str, *arguments: object) -> None:
        """Call a function of the page's script with the element's id and arguments."""
        given = json.dumps([self.html_id, *arguments], ensure_ascii=False)
        script = f"import('/static/page.js').then((page) => page.{function}(...{given}))"
        self.client.run_javascript(script)


def _change(before: PageParts | None, after: PageParts) -> dict[str, object] | None:
    """What changes in a page, as the page's script takes it; None where it is another page."""
    change = None if before is None else change_between(before, after)
    if change is None:
        return None
    splices = [(one.line, one.start, one.removed, one.added) for one in change.splices]
    return {"count": change.count, "moves": change.moves, "splices": splices}


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
