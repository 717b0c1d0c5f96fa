"""What a session tells its panels at each of its changes, and when it tells nothing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import get_args

import pytest
from midneck.grammar.errors import SourcePosition
from midneck.render.desk.choices import Choices
from midneck.render.desk.drafts import Drafts
from midneck.render.desk.folder import ChangedError, FolderError, TuneFolder
from midneck.render.desk.session import Desk, Session, Topic
from support.loops import in_thread

TUNE = "Title: Short\nKey: C\n\n| Dm7 G7 | Cmaj7 |\n"
THERE = SourcePosition(4, 3)


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """A session with a tune that is open and has nothing unsaved."""
    tunes = tmp_path / "tunes"
    tunes.mkdir()
    (tunes / "short.txt").write_text(TUNE, encoding="utf-8")
    (tunes / "other.txt").write_text(TUNE.replace("Short", "Other"), encoding="utf-8")
    made = Session(TuneFolder(tunes), drafts=Drafts(tmp_path / "drafts"), tab="one")
    made.open("short.txt")
    return made


def theirs(session: Session, text: str = "theirs") -> None:
    """Somebody else writes the file."""
    (session.folder.path / "short.txt").write_text(text, encoding="utf-8")


def in_conflict(session: Session) -> None:
    """What is typed stands against what somebody else has written."""
    session.type("mine")
    theirs(session)
    session.check()


def refused(session: Session) -> None:
    """A text is saved over what somebody else has written."""
    session.type("mine")
    theirs(session)
    with pytest.raises(ChangedError):
        session.save()


def saved_as_theirs(session: Session) -> None:
    """The same text is saved that somebody else has written."""
    session.type("same")
    theirs(session, "same")
    session.save()


def taken(session: Session) -> None:
    """Theirs is taken."""
    in_conflict(session)
    session.take_theirs()


def beside(session: Session) -> None:
    """Mine is saved beside theirs."""
    in_conflict(session)
    assert session.save_beside() == "short-2.txt"


def followed(session: Session) -> None:
    """A file that changed is looked at, twice."""
    theirs(session)
    session.check()
    session.check()


def told_once(session: Session) -> None:
    """A conflict is looked at again, then theirs changes once more."""
    in_conflict(session)
    session.check()
    theirs(session, "theirs again")
    session.check()


def gone(session: Session) -> None:
    """The file is removed, and looked for twice."""
    (session.folder.path / "short.txt").unlink()
    session.check()
    session.check()


#: What is done, and the topics that are told, in their order.
TOLD: tuple[tuple[Callable[[Session], object], str], ...] = (
    (lambda it: it.open("other.txt"), "tune"),
    (lambda it: it.choose(Choices(large=True)), "choices"),
    (lambda it: it.tick("short.txt", True), "ticked"),
    (lambda it: it.choose_chord(1), "chord"),
    (lambda it: it.choose_chord(None), "chord"),
    (lambda it: it.type("mine"), "text"),
    (lambda it: it.type(TUNE), ""),
    (lambda it: in_thread(it.take_typed(TUNE.replace("G7", "G9"))), "text work"),
    (lambda it: in_thread(it.take_typed(TUNE)), ""),
    (lambda it: it.rewrite("mine"), "rewritten text"),
    (lambda it: it.rewrite(TUNE), ""),
    (lambda it: it.move_cursor(THERE), "cursor"),
    (lambda it: it.move_cursor(SourcePosition(1, 1)), ""),
    (lambda it: it.go_to(THERE), "go cursor"),
    (lambda it: it.go_to(SourcePosition(1, 1)), "go cursor"),
    (lambda it: it.save(), "saved"),
    (lambda it: it.rename("long.txt"), "named saved"),
    (lambda it: it.rename("short.txt"), ""),
    (lambda it: it.check(), ""),
    (lambda it: it.take_theirs(), ""),
    (lambda it: in_thread(it.work()), "work"),
    (lambda it: it.close(), ""),
    (followed, "rewritten text saved"),
    (in_conflict, "text conflict"),
    (told_once, "text conflict conflict"),
    (gone, "conflict"),
    (refused, "text conflict"),
    (saved_as_theirs, "text saved"),
    (taken, "text conflict rewritten text saved"),
    (beside, "text conflict tune"),
)  # fmt: skip


@pytest.mark.parametrize("row", range(len(TOLD)))
def test_each_change_tells_its_topics_and_no_others(session: Session, row: int) -> None:
    do, expected = TOLD[row]
    told: list[Topic] = []
    for topic in get_args(Topic):
        session.listen(topic, lambda topic=topic: told.append(topic))
    do(session)
    assert " ".join(told) == expected


def test_every_listener_of_a_topic_is_told_in_turn(session: Session) -> None:
    told: list[int] = []
    for number in range(3):
        session.listen("chord", lambda number=number: told.append(number))
    session.choose_chord(0)
    assert told == [0, 1, 2]


def test_a_closed_session_tells_nothing_and_holds_no_tune(session: Session) -> None:
    told: list[str] = []
    session.listen("chord", lambda: told.append("chord"))
    session.close()
    session.choose_chord(0)
    assert told == []
    assert session.desk == Desk(chord=0)


def test_what_a_session_holds_after_each_change(session: Session) -> None:
    """The state is what was asked for, and all else stays as it was."""
    start = session.desk
    assert (start.name, start.text, start.dirty, start.conflict) == (
        "short.txt",
        TUNE,
        False,
        False,
    )
    session.choose(Choices(large=True))
    session.choose_chord(1)
    session.go_to(THERE)
    assert session.desk == replace(start, choices=Choices(large=True), chord=1, cursor=THERE)
    session.open("other.txt")
    assert session.desk == Desk(
        "other.txt", TUNE.replace("Short", "Other"), session.folder.read("other.txt"),
        Choices(large=True),
    )  # fmt: skip
    session.type("mine")
    assert session.desk.dirty
    session.rename("third.txt")
    assert session.desk.dirty
    assert session.desk.name == "third.txt"
    assert session.desk.saved == session.folder.read("third.txt")


def test_ticked_tunes_stand_in_the_order_of_their_last_ticks(session: Session) -> None:
    for name, on in (
        ("a", True),
        ("b", True),
        ("a", True),
        ("c", True),
        ("b", False),
        ("d", False),
    ):
        session.tick(name, on)
    assert session.ticked == ("a", "c")


def test_a_file_that_is_gone_stays_in_the_editor_with_nothing_to_take(session: Session) -> None:
    gone(session)
    assert session.desk.conflict
    assert session.desk.theirs is None
    session.take_theirs()
    assert (session.desk.text, session.desk.conflict) == (TUNE, True)


def test_drafts_follow_the_text_through_every_change(session: Session) -> None:
    """A draft stands there while the text is unsaved, under the name that the tune has then."""
    assert session.drafts is not None

    def kept() -> list[tuple[str, str, str]]:
        assert session.drafts is not None
        return [(draft.name, draft.tab, draft.text) for draft in session.drafts.all()]

    session.type("mine")
    assert kept() == [("short.txt", "one", "mine")]
    session.rewrite("mine too")
    assert kept() == [("short.txt", "one", "mine too")]
    session.type(TUNE)
    assert kept() == []
    session.type("mine")
    session.rename("long.txt")
    assert kept() == [("long.txt", "one", "mine")]
    session.save()
    assert kept() == []
    session.type("other")
    assert session.save_beside() == "long-2.txt"
    assert kept() == []


def test_a_draft_that_another_tab_has_left_is_taken_over(session: Session) -> None:
    session.type("mine")
    other = Session(session.folder, drafts=session.drafts, tab="two", open_tabs=("two",))
    other.open("short.txt")
    assert other.desk.text == "mine"
    assert other.drafts is not None
    assert [(draft.tab, draft.opened) for draft in other.drafts.all()] == [
        ("two", session.folder.version("short.txt"))
    ]


def test_the_last_draft_of_several_tabs_is_taken(session: Session) -> None:
    assert session.drafts is not None
    for tab, text in (("three", "first"), ("two", "second"), ("four", "last")):
        session.drafts.keep("short.txt", tab, text, session.folder.version("short.txt"))
    session.open("short.txt")
    assert session.desk.text == "last"


def test_a_session_without_a_tune_saves_and_keeps_nothing(tmp_path: Path) -> None:
    empty = Session(TuneFolder(tmp_path), drafts=Drafts(tmp_path / "drafts"), tab="one")
    empty.check()
    empty.rename("new.txt")
    empty.type("mine")
    assert not empty.desk.dirty
    assert not (tmp_path / "drafts").exists()
    with pytest.raises(FolderError, match=r"'' is no name of a tune"):
        empty.save()
