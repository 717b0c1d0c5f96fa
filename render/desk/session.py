"""One open tune at the desk: its text, its choices, what they give, and what is told of that.

A `Session` belongs to one browser tab. Panels change it by its methods and hear of changes by
subscribing; the state itself is a frozen value that is replaced. Work is done in a thread, and an
answer that typing has overtaken is dropped.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Literal

from .choices import Choices
from .folder import ChangedError, FolderError, Stored, TuneFolder
from .work import Work, work_out

#: What of a session has changed: the tune that is open, its text, the work, the choices, saving,
#: the chord that is chosen.
Topic = Literal["tune", "text", "work", "choices", "saved", "chord"]


@dataclass(frozen=True, slots=True)
class Desk:
    """The state of a session. `saved` is the text as it stands in the folder, as far as known.

    `work` is that of the text; `shown` the last good work, which stays on the page while the text
    is wrong. `chord` is the index of the chord whose card is open.
    """

    name: str = ""
    text: str = ""
    saved: Stored | None = None
    choices: Choices = field(default_factory=Choices)
    work: Work = field(default_factory=Work)
    shown: Work = field(default_factory=Work)
    chord: int | None = None

    @property
    def dirty(self) -> bool:
        """Whether the text differs from what stands in the folder."""
        return bool(self.name) and (self.saved is None or self.saved.text != self.text)


@dataclass
class Session:
    """The open tune of one browser tab."""

    folder: TuneFolder
    desk: Desk = Desk()
    _listeners: dict[Topic, list[Callable[[], None]]] = field(default_factory=dict)
    _turn: int = 0

    def listen(self, topic: Topic, listener: Callable[[], None]) -> None:
        """Call the listener after each change of a topic."""
        self._listeners.setdefault(topic, []).append(listener)

    def open(self, name: str) -> None:
        """Open a tune of the folder. Raises FolderError."""
        stored = self.folder.read(name)
        self.desk = replace(self.desk, name=name, text=stored.text, saved=stored, chord=None)
        self._tell("tune")

    def choose(self, choices: Choices) -> None:
        """Set for whom and on what paper."""
        self.desk = replace(self.desk, choices=choices)
        self._tell("choices")

    def choose_chord(self, index: int | None) -> None:
        """Open the card of a chord, or close it."""
        self.desk = replace(self.desk, chord=index)
        self._tell("chord")

    def type(self, text: str) -> None:
        """Take a new text from the editor."""
        if text != self.desk.text:
            self.desk = replace(self.desk, text=text)
            self._tell("text")

    def save(self) -> None:
        """Save the text over the version it was opened from.

        Raises ChangedError when someone else has changed it, FolderError when it cannot be written.
        """
        opened = None if self.desk.saved is None else self.desk.saved.version
        stored = self.folder.save(self.desk.name, self.desk.text, opened)
        self.desk = replace(self.desk, saved=stored)
        self._tell("saved")

    async def work(self) -> None:
        """Work out the text with the choices; drops an answer that a later one has overtaken."""
        self._turn += 1
        turn, desk = self._turn, self.desk
        done = await asyncio.to_thread(work_out, desk.text, desk.choices, desk.name)
        if turn == self._turn:
            shown = done if done.good else self.desk.shown
            self.desk = replace(self.desk, work=done, shown=shown)
            self._tell("work")

    def _tell(self, topic: Topic) -> None:
        for listener in self._listeners.get(topic, ()):
            listener()


__all__ = ["ChangedError", "Desk", "FolderError", "Session", "Topic"]
