"""The page exactly as it prints, redrawn while the text is typed.

A chord of the page is a button: a click or Enter opens its card and moves the cursor of the text
there. The bar of the cursor is marked on the page. Only pages that changed are sent.
"""

from __future__ import annotations

from typing import Any

from nicegui import ui
from nicegui.events import GenericEventArguments

from ...grammar.sheet import Sheet
from .session import Session

#: Sizes of the page in per cent of the panel's width.
ZOOMS = (60, 80, 100, 130, 170)


def page_panel(session: Session) -> None:
    """The pages of the open tune; those of the last good text stay while it is wrong."""
    with (
        ui.element("section")
        .classes("pages")
        .props('tabindex="0" aria-label="Page of the tune"') as panel
    ):
        _zoom(panel)
        papers: list[ui.html] = []

    def show() -> None:
        pages = session.desk.shown.pages
        with panel:
            while len(papers) < len(pages):
                papers.append(ui.html("", sanitize=False).classes("paper"))
        for paper, page in zip(papers, pages, strict=False):
            if paper.content != page:
                paper.set_content(page)
        for paper in papers[len(pages) :]:
            paper.delete()
        del papers[len(pages) :]
        stale = not session.desk.work.good
        panel.classes(add="stale" if stale else "", remove="" if stale else "stale")
        ui.run_javascript("import('/static/page.js').then((page) => page.dress())")

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
        number = place.get("bar")
        bar = next((bar for bar in sheet.bars if bar.number == number), None)
        if bar is not None:
            session.go_to(bar.position)

    def mark() -> None:
        sheet = session.desk.shown.sheet
        number = (
            "null"
            if sheet is None
            else bar_at(sheet, session.desk.cursor.line, session.desk.cursor.column)
        )
        ui.run_javascript(f"import('/static/page.js').then((page) => page.mark({number}))")

    panel.on("choose", chosen, js_handler="(event) => emit(event.detail)")
    session.listen("work", show)
    session.listen("work", mark)
    session.listen("cursor", mark)


def _index(value: Any, count: int) -> int | None:
    return value if isinstance(value, int) and 0 <= value < count else None


def bar_at(sheet: Sheet, line: int, column: int) -> int | str:
    """The number of the written bar at a place of the text, `null` where there is none."""
    found: int | str = "null"
    for bar in sheet.bars:
        if bar.position.line == line and bar.position.column <= column + 2:
            found = bar.number
    return found


def _zoom(panel: ui.element) -> None:
    """Buttons for a smaller and a larger page."""
    state = {"at": ZOOMS.index(100)}

    def step(by: int) -> None:
        state["at"] = max(0, min(len(ZOOMS) - 1, state["at"] + by))
        panel.style(f"--zoom: {ZOOMS[state['at']]}%")

    with ui.element("div").classes("zoom"):
        ui.button("−", on_click=lambda: step(-1)).props('flat dense aria-label="Smaller page"')
        ui.button("+", on_click=lambda: step(1)).props('flat dense aria-label="Larger page"')
