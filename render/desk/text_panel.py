"""The text of the open tune, with its mistakes underlined and listed below."""

from __future__ import annotations

from nicegui import ui
from nicegui.events import ValueChangeEventArguments

from ...grammar.errors import problem_text
from .session import Session


def text_panel(session: Session) -> None:
    """The editor and the list of mistakes."""

    async def typed(event: ValueChangeEventArguments[str]) -> None:
        session.type(event.value)
        await session.work()

    with ui.element("section").classes("text").props('aria-label="Text of the tune"'):
        editor = ui.codemirror(on_change=typed).classes("editor")
        mistakes = ui.element("div").classes("mistakes").props('role="status"')

    def show_tune() -> None:
        editor.value = session.desk.text

    def show_mistakes() -> None:
        mistakes.clear()
        work = session.desk.work
        with mistakes:
            for problem in work.problems[:20]:
                ui.label(problem_text(problem).splitlines()[0])
            if work.message:
                ui.label(work.message)

    session.listen("tune", show_tune)
    session.listen("work", show_mistakes)
