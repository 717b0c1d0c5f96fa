"""The text of the open tune: words marked by kind, mistakes underlined and listed with their fixes.

The editor is made anew for each tune, so that undo never leads into another one. Marks and changes
go to it by `static/editor.js`, not as properties of the element: an update of its properties would
carry the value as the server knows it and take back what has been typed meanwhile.
"""

from __future__ import annotations

import json
from typing import Any, Final

from nicegui import ui
from nicegui.events import GenericEventArguments, ValueChangeEventArguments

from ...grammar.errors import Problem, SourcePosition
from ...grammar.sheet import Jump
from ...grammar.text.source import KNOWN_NAMES
from ..output import OutputError
from .folder import FolderError
from .highlight import fixes, marks, mended, mistake_range
from .session import Session

#: The most mistakes that are listed; the rest are counted.
LISTED: Final = 20
#: What the editor completes: header names, their usual values, jumps.
WORDS: Final[dict[str, Any]] = {
    "headers": [f"{name}: " for name in KNOWN_NAMES],
    "values": {
        "Key": [root + mode for mode in ("", "m") for root in ("C", "F", "Bb", "Eb", "Ab", "G")],
        "Time": ["4/4", "3/4", "6/8", "5/4", "2/4"],
        "Feel": ["swing", "straight", "bossa", "ballad"],
    },
    "jumps": [
        *(str(Jump(to, until)) for to in ("capo", "segno") for until in ("end", "fine", "coda")),
        *("Segno", "To Coda", "Coda", "Fine", "N.C."),
    ],
}


def text_panel(session: Session) -> None:
    """The editor, what is wrong in the text, and whether it is saved."""
    _TextPanel(session)


class _TextPanel:
    """The elements of the panel and what they do."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.client = ui.context.client
        self.editor: ui.codemirror | None = None
        #: The mistakes that are listed, the message below them, and whether the page is dimmed.
        self.listed: tuple[tuple[Problem, ...], str, bool] = (), "", False
        with ui.element("section").classes("text").props('aria-label="Text of the tune"'):
            with ui.element("div").classes("text-head"):
                with ui.element("h2").classes("tune-name"):
                    self.name = ui.label()
                with ui.element("span").classes("state").props('role="status"'):
                    self.state = ui.label()
                self.save_button = ui.button("Save", on_click=self.save).props("flat no-caps")
            self.conflict = ui.element("div").classes("conflict").props('role="alert"')
            self.place = ui.element("div").classes("editor")
            self.mistakes = ui.element("div").classes("mistakes").props('role="status"')
        session.listen("tune", self.show_tune)
        session.listen("rewritten", self.show_rewritten)
        session.listen("work", self.show_work)
        session.listen("go", self.show_cursor)
        session.listen("conflict", self.show_conflict)
        session.listen("begun", lambda: self.call("begin"))
        for topic in ("tune", "text", "saved", "conflict"):
            session.listen(topic, self.show_state)
        session.listen("tune", self.show_conflict)
        session.listen("saved", self.show_conflict)
        ui.on("desk_cursor", self.cursor_moved)

    async def typed(self, event: ValueChangeEventArguments[str]) -> None:
        """Take what was typed, and work it out."""
        try:
            await self.session.take_typed(event.value)
        except OutputError as error:
            self.tell(f"Unsaved text cannot be kept: {error}")

    def cursor_moved(self, event: GenericEventArguments) -> None:
        """Take the place of the cursor."""
        place = event.args
        self.session.move_cursor(SourcePosition(int(place["line"]), int(place["column"])))

    async def save(self) -> None:
        """Save the text; what stands against it is told."""
        if not self.session.desk.name:
            return
        try:
            self.session.save()
        except FolderError as error:
            self.tell(f"Not saved: {error}")
            return
        try:
            if self.session.name_after_title():
                name = self.session.desk.name
                self.tell(f"Saved as {name}, after its title: Rename changes that.", wrong=False)
        except (FolderError, OutputError) as error:
            self.tell(f"Saved as {self.session.desk.name}: {error}")

    async def mend(self, problem: Problem, fix: str) -> None:
        """Put a fix into the text."""
        text = self.session.desk.text
        if problem in self.session.desk.work.problems:
            self.session.rewrite(mended(text, problem, fix))
            await self.session.work()

    def show_tune(self) -> None:
        """An editor of its own for the tune that is opened."""
        desk = self.session.desk
        self.place.clear()
        with self.place:
            self.editor = ui.codemirror(
                desk.text,
                on_change=self.typed,
                keymap={"Mod-s": lambda _: self.save()},
                line_wrapping=True,
                theme="basicLight",
            ).classes("code")
        self.call("attach", "Text of the tune", WORDS)
        self.mark()

    def show_rewritten(self) -> None:
        """The text as it was changed elsewhere."""
        self.call("rewrite", self.session.desk.text)

    def show_cursor(self) -> None:
        """The cursor where the session asks it to be."""
        place = self.session.desk.cursor
        self.call("goTo", place.line, place.column, False)

    def show_work(self) -> None:
        """The marks of the text and the list of mistakes."""
        self.mark()
        work = self.session.desk.work
        dimmed = not work.good and self.session.desk.shown.good
        if (work.problems, work.message, dimmed) == self.listed:
            return
        self.listed = work.problems, work.message, dimmed
        self.mistakes.clear()
        with self.mistakes:
            for problem in work.problems[:LISTED]:
                self.list_mistake(problem)
            left = len(work.problems) - LISTED
            if left > 0:
                ui.label(f"… and {left} more")
            if work.message:
                ui.label(work.message)
            if dimmed:
                ui.label("The page shows the tune as it last read well.").classes("quiet")

    def list_mistake(self, problem: Problem) -> None:
        """One mistake: its line, which leads there, what is wrong, and its fixes."""
        with ui.element("div").classes("mistake"):
            if problem.line:
                line = ui.button(f"Line {problem.line}", on_click=lambda: self.go(problem))
                line.props("flat no-caps dense")
            ui.label(said(problem))
            for fix in fixes(problem):
                button = ui.button(fix, on_click=lambda _, fix=fix: self.mend(problem, fix))
                button.props("flat no-caps dense").classes("fix")
                button.props["aria-label"] = f"Change it to {fix}"

    def go(self, problem: Problem) -> None:
        """The cursor to a mistake."""
        self.call("goTo", problem.line, problem.column, True)

    def show_state(self) -> None:
        """The name of the tune and whether it is saved."""
        desk = self.session.desk
        self.name.text = desk.name
        state = "changed in the folder" if desk.conflict else "not saved" if desk.dirty else "saved"
        self.state.text = state if desk.name else ""
        self.save_button.set_enabled(desk.dirty)

    def show_conflict(self) -> None:
        """Both texts where the file is no longer the one that was opened."""
        desk = self.session.desk
        self.conflict.clear()
        if not desk.conflict:
            return
        with self.conflict:
            if desk.theirs is None:
                ui.label(f"{desk.name} is gone from the folder. Your text is still here.")
            else:
                ui.label(f"{desk.name} has changed in the folder. Your text is still here.")
                theirs = ui.element("pre").classes("theirs").props('tabindex="0" role="group"')
                theirs.props('aria-label="The text in the folder"')
                with theirs:
                    ui.label(desk.theirs.text)
                ui.button("Take the one in the folder", on_click=self.take_theirs).props("no-caps")
            ui.button("Save mine under a name of its own", on_click=self.save_beside).props(
                "no-caps"
            )

    async def take_theirs(self) -> None:
        """Go on with the text of the folder."""
        self.session.take_theirs()
        await self.session.work()

    async def save_beside(self) -> None:
        """Save the text beside the changed file."""
        try:
            name = self.session.save_beside()
        except FolderError as error:
            self.tell(f"Not saved: {error}")
            return
        self.tell(f"Saved as {name}", wrong=False)
        await self.session.work()

    def mark(self) -> None:
        """Mark the words and mistakes of the text in the editor."""
        desk = self.session.desk
        specs, tooltips = _decorations(desk.text, desk.work.problems)
        self.call("mark", desk.text, specs, tooltips)

    def call(self, function: str, *arguments: object) -> None:
        """Call a function of the editor's script with the editor and arguments."""
        if self.editor is not None:
            given = ", ".join(json.dumps(value) for value in (self.editor.id, *arguments))
            script = f"import('/static/editor.js').then((editor) => editor.{function}({given}))"
            self.client.run_javascript(script)

    def tell(self, message: str, wrong: bool = True) -> None:
        """Tell something that happened."""
        with self.client:
            ui.notify(
                message, type="negative" if wrong else "positive", timeout=8000 if wrong else 4000
            )


def said(problem: Problem) -> str:
    """A mistake in one sentence, without its position."""
    text = f"“{problem.text}”: " if problem.text else ""
    expected = f"; expected {problem.expected}" if problem.expected else ""
    return f"{text}{problem.message}{expected}"


def _decorations(
    text: str, problems: tuple[Problem, ...]
) -> tuple[list[dict[str, object]], dict[str, str]]:
    """The editor's decorations for a text and its mistakes, and the tooltip of each wrong line."""
    specs = [_decoration(mark.start, mark.end, mark.kind) for mark in marks(text)]
    tooltips: dict[str, str] = {}
    for problem in problems:
        start, end = mistake_range(text, problem)
        if end > start:
            specs.append(_decoration(start, end, "wrong"))
        fix = " · ".join(fixes(problem))
        tip = said(problem) + (f". Change it to {fix}?" if fix else "")
        line = str(max(1, problem.line))
        tooltips[line] = f"{tooltips[line]}\n{tip}" if line in tooltips else tip
    return specs, tooltips


def _decoration(start: int, end: int, kind: str) -> dict[str, object]:
    """A mark that grows with what is typed at its ends.

    A word that is typed at stays what it was until the server knows better. Mostly it is that, and
    the editor has nothing to draw again.
    """
    return {
        "kind": "mark",
        "from": start,
        "to": end,
        "class": f"w-{kind}",
        "inclusiveStart": True,
        "inclusiveEnd": True,
    }
