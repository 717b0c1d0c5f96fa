"""One open tune at the desk: its text, its choices, what they give, and what is told of that.

A `Session` belongs to one browser tab. Panels change it by its methods and hear of changes by
subscribing; the state itself is a frozen value that is replaced. Work is done in a thread, and an
answer that typing has overtaken is dropped.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Collection
from dataclasses import dataclass, field, replace
from threading import Lock
from typing import Final, Literal, TypeVar

from ...grammar.errors import SourcePosition
from ...grammar.frozen import frozen
from .choices import Choices
from .drafts import Drafts
from .folder import ChangedError, FolderError, Stored, TuneFolder
from .kept import Kept, KeptTabs
from .shelf import stem_after_title
from .work import Work, work_out_in_turn

#: What of a session has changed: the tune that is open, that it is begun, the name of its file, its
#: text (`rewritten` where it was not typed), the work, the choices, saving, a conflict with the
#: file, the chord that is chosen, the cursor's place in the text, where the cursor is asked to go,
#: and which tunes are ticked.
Topic = Literal[
    "tune", "begun", "named", "text", "rewritten", "work", "choices", "saved", "conflict", "chord",
    "cursor", "go", "ticked",
]  # fmt: skip

Value = TypeVar("Value")
TOP: Final = SourcePosition(1, 1)


@frozen
class Desk:
    """The state of a session. `saved` is the text as it stands in the folder, as far as known.

    `work` is that of the text; `shown` the last good work, which stays on the page while the text
    is wrong. `chord` is the index of the chord whose card is open, `cursor` the place in the text.
    `conflict` tells that the file is no longer the one that was opened; `theirs` is the file then,
    None where it is gone.
    """

    name: str = ""
    text: str = ""
    saved: Stored | None = None
    choices: Choices = field(default_factory=Choices)
    work: Work = field(default_factory=Work)
    shown: Work = field(default_factory=Work)
    chord: int | None = None
    cursor: SourcePosition = TOP
    conflict: bool = False
    theirs: Stored | None = None

    @property
    def dirty(self) -> bool:
        """Whether the text differs from what stands in the folder."""
        return bool(self.name) and (self.saved is None or self.saved.text != self.text)


@dataclass
class Session:
    """The open tune of one browser tab, `tab`, whose unsaved text is kept in `drafts`.

    `open_tabs` are all tabs at the desk; their drafts are in use. `kept` keeps the choices of the
    folder, `kept_tabs` those of its tabs. `ticked` are the tunes ticked for a book or lessons.
    """

    folder: TuneFolder
    desk: Desk = field(default_factory=Desk)
    _listeners: dict[Topic, list[Callable[[], None]]] = field(default_factory=dict)
    _turn: int = 0
    _working: bool = False
    drafts: Drafts | None = None
    tab: str = ""
    open_tabs: Collection[str] = ()
    #: Drafts are kept in a thread as well, and the last state is what stays.
    _draft_lock: Lock = field(default_factory=Lock)
    ticked: tuple[str, ...] = ()
    kept: Kept | None = None
    kept_tabs: KeptTabs = field(default_factory=KeptTabs)

    def listen(self, topic: Topic, listener: Callable[[], None]) -> None:
        """Call the listener after each change of a topic."""
        self._listeners.setdefault(topic, []).append(listener)

    def open(self, name: str, choices: Choices | None = None) -> None:
        """Open a tune, with its unsaved text where there is one, and with the key kept for it.

        `choices` are taken as they are. Raises FolderError.
        """
        stored = self.folder.read(name)
        if choices is None:
            now = self.desk.choices
            choices = now if self.kept is None else self.kept.with_key(name, now)
        self.desk = Desk(name, stored.text, stored, choices)
        draft = None if self.drafts is None else self.drafts.find(name, self.tab, self.open_tabs)
        if draft is not None and draft.text != stored.text:
            self.desk = replace(self.desk, text=draft.text)
            if draft.opened != stored.version:
                opened = Stored(name, "", draft.opened or "")
                self.desk = replace(self.desk, saved=opened, conflict=True, theirs=stored)
            if self.drafts is not None and draft.tab != self.tab:
                self.drafts.keep(name, self.tab, draft.text, draft.opened)
                self.drafts.drop(name, draft.tab)
        self._tell("tune")

    def begin(self, name: str) -> None:
        """Open a new tune, to be typed. Raises FolderError."""
        self.open(name)
        self._tell("begun")

    def close(self) -> None:
        """Let go of the tune, whose draft stays: what still holds the session holds no pages.

        FastAPI keeps every function that it has been given, among them those that reach a tab.
        """
        self.desk = Desk()
        self._listeners.clear()

    def choose(self, choices: Choices) -> None:
        """Set for whom and on what paper. Raises OutputError when that cannot be kept."""
        self.desk = replace(self.desk, choices=choices)
        self._tell("choices")
        self.keep_choices()

    def keep_tune(self) -> None:
        """Keep which tune is open. Raises OutputError when it cannot be kept."""
        if self.kept is not None and self.desk.name:
            self.kept.keep_tune(self.desk.name)

    def keep_choices(self) -> None:
        """Keep the choices of the open tune. Raises OutputError when they cannot be kept."""
        if self.kept is not None and self.desk.name:
            self.kept.keep(self.desk.name, self.desk.choices)

    def tick(self, name: str, ticked: bool) -> None:
        """Tick a tune for a book or lessons, or take its tick away."""
        others = tuple(other for other in self.ticked if other != name)
        self.ticked = (*others, name) if ticked else others
        self.remember("ticked", self.ticked)
        self._tell("ticked")

    def take_tab(self, tab: str) -> None:
        """Belong to a tab, and have what was ticked in it before its page was loaded again."""
        self.tab = tab
        self.ticked = self.recalled("ticked", ())
        self._tell("ticked")

    def remember(self, what: str, value: object) -> None:
        """Keep what was chosen in the tab, as `KeptTabs.remember`."""
        self.kept_tabs.remember(self.tab, what, value)

    def recalled(self, what: str, usual: Value) -> Value:
        """What was chosen in the tab, the usual value where nothing of its kind was."""
        return self.kept_tabs.recalled(self.tab, what, usual)

    def choose_chord(self, index: int | None) -> None:
        """Open the card of a chord, or close it."""
        self.desk = replace(self.desk, chord=index)
        self._tell("chord")

    def type(self, text: str) -> None:
        """Take a new text from the editor. Raises OutputError when no draft of it can be kept."""
        if text != self.desk.text:
            self.desk = replace(self.desk, text=text)
            self._tell("text")
            self._keep_draft()

    async def take_typed(self, text: str) -> None:
        """Take a new text from the editor and work it out, while a draft of it is kept in a thread.

        Raises OutputError when no draft of it can be kept.
        """
        if text == self.desk.text:
            return
        self.desk = replace(self.desk, text=text)
        self._tell("text")
        kept = asyncio.create_task(asyncio.to_thread(self._keep_draft))
        await self.work()
        await kept

    def rewrite(self, text: str) -> None:
        """Change the text from elsewhere than the editor, which shows it as a change to undo."""
        if text != self.desk.text:
            self.desk = replace(self.desk, text=text)
            self._tell("rewritten")
            self._tell("text")
            self._keep_draft()

    def move_cursor(self, position: SourcePosition) -> None:
        """Take the place of the cursor from the editor."""
        if position != self.desk.cursor:
            self.desk = replace(self.desk, cursor=position)
            self._tell("cursor")

    def go_to(self, position: SourcePosition) -> None:
        """Ask the editor to set its cursor at a place and to show it."""
        self.desk = replace(self.desk, cursor=position)
        self._tell("go")
        self._tell("cursor")

    def save(self) -> None:
        """Save the text over the version it was opened from.

        Raises ChangedError when someone else has changed it, FolderError when it cannot be written.
        """
        opened = None if self.desk.saved is None else self.desk.saved.version
        try:
            stored = self.folder.save(self.desk.name, self.desk.text, opened)
        except ChangedError as error:
            if error.theirs is None or error.theirs.text != self.desk.text:
                self._conflict(error.theirs)
                raise
            stored = error.theirs
        self._saved(stored)

    def check(self) -> None:
        """Look whether the file has changed: follow it while nothing is unsaved, else tell.

        Raises FolderError when it is there and cannot be read.
        """
        desk = self.desk
        if desk.saved is None or self.folder.version(desk.name) == desk.saved.version:
            return
        theirs = self.folder.read(desk.name) if self.folder.has(desk.name) else None
        if theirs is not None and not desk.dirty:
            self.desk = replace(desk, saved=theirs, text=theirs.text)
            self._tell("rewritten")
            self._tell("text")
            self._tell("saved")
        elif not desk.conflict or theirs != desk.theirs:
            self._conflict(theirs)

    def save_beside(self) -> str:
        """Save the text under a name of its own beside the changed file, and open that.

        Gives the name. Raises FolderError.
        """
        desk = self.desk
        name = self.folder.free_name(desk.name)
        stored = self.folder.save(name, desk.text, None)
        self.desk = Desk(name, stored.text, stored, desk.choices)
        self._drop_draft(desk.name)
        self._tell("tune")
        return name

    def rename(self, wanted: str) -> None:
        """Give the open tune's file another name; unsaved text stays. Raises FolderError."""
        desk = self.desk
        if desk.saved is None or wanted == desk.name:
            return
        self.folder.rename(desk.name, wanted)
        self.desk = replace(desk, name=wanted, saved=replace(desk.saved, name=wanted))
        self._drop_draft(desk.name)
        self._keep_draft()
        if self.kept is not None:
            self.kept.forget_key(desk.name)
        self.keep_choices()
        if desk.name in self.ticked:
            self.tick(wanted, True)
            self.tick(desk.name, False)
        self._tell("named")
        self._tell("saved")

    def name_after_title(self) -> bool:
        """Name the file of a new tune after its title, and tell whether that was done.

        A file with a name of its own keeps it, and so does a tune without a title. Raises
        FolderError.
        """
        stem = stem_after_title(self.desk.name, self.desk.text)
        if stem:
            self.rename(self.folder.free_name(stem))
        return bool(stem)

    def take_theirs(self) -> None:
        """Go on with the text in the folder; undo in the editor gives the other back."""
        theirs = self.desk.theirs
        if theirs is not None:
            self.rewrite(theirs.text)
            self._saved(theirs)

    def _saved(self, stored: Stored) -> None:
        self.desk = replace(self.desk, saved=stored, conflict=False, theirs=None)
        self._drop_draft(self.desk.name)
        self._tell("saved")

    def _conflict(self, theirs: Stored | None) -> None:
        self.desk = replace(self.desk, conflict=True, theirs=theirs)
        self._tell("conflict")

    def _keep_draft(self) -> None:
        with self._draft_lock:
            desk = self.desk
            if self.drafts is None or not desk.name:
                return
            if desk.dirty:
                opened = None if desk.saved is None else desk.saved.version
                self.drafts.keep(desk.name, self.tab, desk.text, opened)
            else:
                self.drafts.drop(desk.name, self.tab)

    def _drop_draft(self, name: str) -> None:
        with self._draft_lock:
            if self.drafts is not None:
                self.drafts.drop(name, self.tab)

    async def work(self) -> None:
        """Work out the text with the choices; drops an answer that a later one has overtaken.

        One text is worked out at a time: what is asked for meanwhile follows, in its last state.
        """
        self._turn += 1
        if self._working:
            return
        self._working = True
        try:
            await self._work_out_last()
        finally:
            self._working = False

    async def _work_out_last(self) -> None:
        turn = 0
        while turn != self._turn:
            turn, desk = self._turn, self.desk
            done = await work_out_in_turn(desk.text, desk.choices, desk.name)
            if turn == self._turn:
                shown = done if done.good else self.desk.shown
                self.desk = replace(self.desk, work=done, shown=shown)
                self._tell("work")

    def _tell(self, topic: Topic) -> None:
        for listener in self._listeners.get(topic, ()):
            listener()


__all__ = ["ChangedError", "Desk", "FolderError", "Session", "Topic"]
