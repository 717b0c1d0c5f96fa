"""A dialog of what can be practised: its frame, its result, and work that is done in a thread."""

from __future__ import annotations

import asyncio
from abc import ABC, abstractmethod
from collections.abc import Callable, Collection, Sequence
from dataclasses import replace
from typing import Any, Final, TypeVar

from nicegui import ui

from ...grammar.errors import MidneckError
from .session import Session

Result = TypeVar("Result")
_BEHIND: Final = "document.getElementById('app')"
#: The name under which it is kept which dialog is open in a tab.
OPEN: Final = "dialog"


class Dialog(ABC):
    """A dialog with its choices on the left and its result on the right."""

    title = ""
    #: What the choices say: a value of the dialog's own class.
    wish: Any

    def __init__(self, session: Session) -> None:
        self.session = session
        self.client = ui.context.client
        self.turn = 0
        with self.client.layout, ui.dialog() as self.dialog:
            self.dialog.props(f'aria-label="{self.title}"')
            with ui.element("div").classes("practice"):
                with ui.element("div").classes("practice-head"):
                    with ui.element("h2"):
                        ui.label(self.title)
                    close = ui.button(icon="close", on_click=self.dialog.close)
                    close.props('flat dense aria-label="Close"')
                with ui.element("div").classes("practice-choices"):
                    self.choices()
                    self.said = ui.label().classes("practice-said").props('role="status"')
                self.result = ui.element("div").classes("practice-pages")
                self.result.props('tabindex="0" role="region" aria-label="What is printed"')
        # What lies behind is out of reach, for keys and for screen readers, until it closes.
        for event, inert in (("before-show", "true"), ("before-hide", "false")):
            self.dialog.on(event, js_handler=f"() => {_BEHIND}.inert = {inert}")
        self.dialog.on_value_change(lambda event: None if event.value else self.closing())
        # Only when it is hidden has the focus gone back to where it was opened.
        self.dialog.on("hide", self.closed)

    @abstractmethod
    def choices(self) -> None:
        """The fields of the dialog."""

    @abstractmethod
    async def make(self) -> None:
        """Make what is shown."""

    async def change(self, **parts: Any) -> None:
        """Change parts of the wish and show what it gives."""
        wish = replace(self.wish, **parts)
        if wish != self.wish:
            self.keep(wish)
            await self.make()

    def keep(self, wish: Any) -> None:
        """Take a wish and keep it for the tab."""
        self.wish = wish
        self.session.remember(self.title, wish)

    def offered(self, name: str, options: Collection[str]) -> str:
        """A part of the wish, or its default where it is none of the options any more."""
        value: str = getattr(self.wish, name)
        if value not in options:
            value = getattr(type(self.wish)(), name)
            self.wish = replace(self.wish, **{name: value})
        return value

    async def open(self, opener: ui.element) -> None:
        """Open the dialog and show what its choices give.

        The focus goes back to where it was, or to the `opener` where it was nowhere.
        """
        self.session.remember(OPEN, self.title)
        lost = "document.activeElement === document.body"
        back = f"() => {{ if ({lost}) document.getElementById('{opener.html_id}')?.focus() }}"
        self.dialog.on("hide", js_handler=back)
        self.dialog.open()
        await self.make()

    def closing(self) -> None:
        """The dialog is no longer open; another one may be before it is gone."""
        self.session.remember(OPEN, "")

    def closed(self) -> None:
        """The dialog is gone."""
        self.dialog.delete()

    async def worked(self, work: Callable[[], Result]) -> Result | None:
        """What some work gives, done in a thread; None for mistakes, which are told.

        An answer that a later work has overtaken is dropped.
        """
        self.turn += 1
        turn = self.turn
        self.say("Making the pages …", "busy")
        try:
            made = await asyncio.to_thread(work)
        except MidneckError as error:
            if turn == self.turn:
                self.say(str(error), "wrong")
            return None
        if turn != self.turn or self.dialog.is_deleted:
            return None
        self.say("", "")
        return made

    async def download(self, work: Callable[[], list[tuple[str, bytes]]]) -> None:
        """Download the files that some work gives, done in a thread; mistakes are told."""
        self.say("Making the file …", "busy")
        try:
            files = await asyncio.to_thread(work)
        except MidneckError as error:
            self.say(str(error), "wrong")
            return
        self.say("", "")
        with self.client:
            for name, data in files:
                ui.download.content(data, name)

    def say(self, text: str, kind: str) -> None:
        """Tell what is being done, or what is wrong."""
        if not self.dialog.is_deleted:
            self.said.text = text
            self.said.classes(replace=f"practice-said {kind}")

    def show(self, pages: Sequence[str], more: str = "") -> None:
        """Show pages on the right, and a line below them."""
        self.result.clear()
        with self.result:
            for page in pages:
                ui.html(page, sanitize=False).classes("paper")
            if more:
                ui.label(more).classes("quiet")
