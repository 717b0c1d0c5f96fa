"""A session without a browser: what it opens, saves, drafts, and never overwrites."""

from __future__ import annotations

import asyncio
import errno
import os
from pathlib import Path

import pytest
from midneck.render.desk.choices import Choices
from midneck.render.desk.drafts import Drafts
from midneck.render.desk.folder import ChangedError, FolderError, TuneFolder
from midneck.render.desk.kept import Kept
from midneck.render.desk.session import Session, Topic
from midneck.render.desk.shelf import NEW_TUNE
from support.loops import in_thread

TUNE = "Title: Short\nKey: C\n\n| Dm7 G7 | Cmaj7 |\n"


@pytest.fixture
def folder(tmp_path: Path) -> TuneFolder:
    tunes = tmp_path / "tunes"
    tunes.mkdir()
    (tunes / "short.txt").write_text(TUNE, encoding="utf-8")
    return TuneFolder(tunes)


def session_in(folder: TuneFolder, tab: str = "one", name: str = "short.txt") -> Session:
    session = Session(folder, drafts=Drafts(folder.path.parent / "drafts"), tab=tab)
    session.open(name)
    return session


def test_typing_and_saving_change_the_file(folder: TuneFolder) -> None:
    session = session_in(folder)
    told: list[Topic] = []
    session.listen("saved", lambda: told.append("saved"))
    session.type(TUNE.replace("G7", "G9"))
    assert session.desk.dirty
    session.save()
    assert not session.desk.dirty
    assert told == ["saved"]
    assert folder.read("short.txt").text == TUNE.replace("G7", "G9")


def test_the_page_of_the_last_good_text_stays_while_the_text_is_wrong(folder: TuneFolder) -> None:
    session = session_in(folder)
    in_thread(session.work())
    shown = session.desk.shown
    assert shown.good
    session.type(TUNE.replace("G7", "H7"))
    in_thread(session.work())
    assert [problem.text for problem in session.desk.work.problems] == ["H"]
    assert session.desk.shown is shown


def test_what_is_typed_is_worked_out_and_its_last_state_is_the_draft(folder: TuneFolder) -> None:
    """Many texts are typed while the first one is worked out; saving leaves no draft behind."""
    session = session_in(folder)
    texts = [TUNE.replace("Short", f"Short {number}") for number in range(20)]
    worked: list[str] = []
    session.listen("work", lambda: worked.append(session.desk.text))

    async def typed() -> None:
        await asyncio.gather(*(session.take_typed(text) for text in texts))

    in_thread(typed())
    assert session.desk.shown.good
    assert len(worked) < len(texts)
    assert worked[-1] == texts[-1]
    assert session.drafts is not None
    assert [draft.text for draft in session.drafts.all()] == [texts[-1]]
    session.save()
    assert session.drafts.all() == ()


def test_a_file_changed_meanwhile_is_kept_and_shown(folder: TuneFolder) -> None:
    session = session_in(folder)
    session.type("mine")
    (folder.path / "short.txt").write_text("theirs", encoding="utf-8")
    with pytest.raises(ChangedError, match="has changed since you opened it"):
        session.save()
    assert session.desk.conflict
    assert session.desk.theirs is not None
    assert session.desk.theirs.text == "theirs"
    assert session.save_beside() == "short-2.txt"
    assert folder.read("short.txt").text == "theirs"
    assert folder.read("short-2.txt").text == "mine"
    assert not session.desk.conflict


def test_theirs_can_be_taken_and_is_saved_over_afterwards(folder: TuneFolder) -> None:
    session = session_in(folder)
    session.type("mine")
    (folder.path / "short.txt").write_text("theirs", encoding="utf-8")
    session.check()
    assert session.desk.conflict
    session.take_theirs()
    assert session.desk.text == "theirs"
    assert not session.desk.dirty
    session.type("ours")
    session.save()
    assert folder.read("short.txt").text == "ours"


def test_a_clean_text_follows_its_file(folder: TuneFolder) -> None:
    session = session_in(folder)
    (folder.path / "short.txt").write_text("theirs", encoding="utf-8")
    session.check()
    assert session.desk.text == "theirs"
    assert not session.desk.conflict


def test_a_deleted_file_is_told_and_saved_again(folder: TuneFolder) -> None:
    session = session_in(folder)
    session.type("mine")
    (folder.path / "short.txt").unlink()
    with pytest.raises(ChangedError, match="is gone since you opened it"):
        session.save()
    assert session.save_beside() == "short.txt"
    assert folder.read("short.txt").text == "mine"


def test_of_two_sessions_the_second_to_save_overwrites_nothing(folder: TuneFolder) -> None:
    first, second = session_in(folder, "one"), session_in(folder, "two")
    first.type("first")
    second.type("second")
    first.save()
    with pytest.raises(ChangedError):
        second.save()
    assert folder.read("short.txt").text == "first"
    assert second.desk.text == "second"


def test_an_unsaved_text_is_found_again(folder: TuneFolder) -> None:
    session_in(folder).type("unsaved")
    again = session_in(folder)
    assert again.desk.text == "unsaved"
    assert again.desk.dirty
    assert not again.desk.conflict
    again.save()
    assert session_in(folder).desk.text == "unsaved"
    assert again.drafts is not None
    assert again.drafts.all() == ()


def test_an_unsaved_text_over_a_changed_file_is_a_conflict(folder: TuneFolder) -> None:
    session_in(folder).type("unsaved")
    (folder.path / "short.txt").write_text("theirs", encoding="utf-8")
    again = session_in(folder)
    assert again.desk.text == "unsaved"
    assert again.desk.conflict
    with pytest.raises(ChangedError):
        again.save()


def test_a_draft_that_is_not_there_can_be_dropped(folder: TuneFolder) -> None:
    drafts = Drafts(folder.path.parent / "drafts")
    drafts.keep("tune.txt", "one", "| C |\n", None)
    for _ in range(2):
        drafts.drop("tune.txt", "one")
    assert drafts.all() == ()


def test_a_draft_of_an_open_tab_is_left_to_it(folder: TuneFolder) -> None:
    session_in(folder, "one").type("of one")
    other = Session(folder, drafts=Drafts(folder.path.parent / "drafts"), tab="two")
    other.open_tabs = {"one", "two"}
    other.open("short.txt")
    assert other.desk.text == TUNE
    other.open_tabs = {"two"}
    other.open("short.txt")
    assert other.desk.text == "of one"


@pytest.mark.parametrize(
    "name",
    ["../short.txt", "/etc/passwd", "a/b.txt", "..", "x.sh", "a\0.txt", ".hidden.txt", "c:\\x.txt"],
)
def test_names_stay_inside_the_folder(folder: TuneFolder, name: str) -> None:
    with pytest.raises(FolderError, match="no name of a tune"):
        folder.read(name)
    with pytest.raises(FolderError, match="no name of a tune"):
        folder.save(name, "x", None)


def test_a_link_out_of_the_folder_is_not_followed(folder: TuneFolder, tmp_path: Path) -> None:
    (tmp_path / "secret.txt").write_text("secret")
    (folder.path / "link.txt").symlink_to(tmp_path / "secret.txt")
    with pytest.raises(FolderError, match="leads out of the folder"):
        folder.read("link.txt")


@pytest.mark.parametrize(
    ("code", "said"), [(errno.ENOSPC, "no space left on device"), (errno.EROFS, "read-only")]
)
def test_a_full_disk_and_a_read_only_folder_are_told_and_lose_nothing(
    folder: TuneFolder, monkeypatch: pytest.MonkeyPatch, code: int, said: str
) -> None:
    session = session_in(folder)
    session.type("mine")

    real = os.open

    def refuse(path: str, flags: int, mode: int = 0o777) -> int:
        if flags & os.O_CREAT:
            raise OSError(code, os.strerror(code))
        return real(path, flags, mode)

    monkeypatch.setattr(os, "open", refuse)
    with pytest.raises(FolderError, match=rf"short\.txt cannot be saved: {said}"):
        session.save()
    monkeypatch.undo()
    assert folder.read("short.txt").text == TUNE
    assert session.desk.dirty
    assert session_in(folder).desk.text == "mine"


def test_a_tune_is_renamed_with_its_unsaved_text(folder: TuneFolder) -> None:
    session = session_in(folder)
    session.type("unsaved")
    session.rename("long.txt")
    assert folder.names() == ("long.txt",)
    assert session.desk.text == "unsaved"
    again = Session(folder, drafts=session.drafts, tab="one")
    again.open("long.txt")
    assert again.desk.text == "unsaved"
    again.save()
    assert folder.read("long.txt").text == "unsaved"


def test_no_name_is_taken_twice(folder: TuneFolder) -> None:
    folder.save("other.txt", "other", None)
    with pytest.raises(FolderError, match=r"there is a other\.txt already"):
        folder.rename("short.txt", "other.txt")
    assert folder.read("other.txt").text == "other"
    assert folder.free_name("short.txt") == "short-2.txt"


@pytest.mark.parametrize(
    ("name", "title", "named"),
    [
        ("new_tune.txt", "Quiet Harbour", "quiet_harbour.txt"),
        ("new_tune-3.txt", "  Ines’s  Waltz (slow) ", "iness_waltz_slow.txt"),
        ("new_tune.txt", "Ré–Mi / C#m study – well-worn", "ré_mi_c-sharpm_study_well-worn.txt"),
        ("new_tune.txt", "../../etc/Passwd", "etc_passwd.txt"),
        ("new_tune.txt", "Тихая гавань", "тихая_гавань.txt"),
        ("new_tune.txt", "Short", "short-2.txt"),
        ("new_tune.txt", "Aux", "aux_tune.txt"),
        ("new_tune.txt", "x" * 300, f"{'x' * 60}.txt"),
        ("new_tune.txt", "New tune", "new_tune.txt"),
        ("new_tune.txt", "?!", "new_tune.txt"),
        ("new_tune.txt", "", "new_tune.txt"),
        ("new_tune.txt", "New Tune-2", "new_tune.txt"),
        ("my new_tune.txt", "Quiet Harbour", "my new_tune.txt"),
        ("new_tune-b.txt", "Quiet Harbour", "new_tune-b.txt"),
    ],
)  # fmt: skip
def test_a_new_tune_is_named_after_its_title(
    folder: TuneFolder, name: str, title: str, named: str
) -> None:
    folder.save(name, NEW_TUNE, None)
    session = session_in(folder, name=name)
    session.type(f"title: {title}\n\n| H7 | wrong\n")
    session.save()
    assert session.name_after_title() == (named != name)
    assert session.desk.name == named
    assert not session.desk.dirty
    assert folder.read(named).text == session.desk.text
    assert folder.read("short.txt").text == TUNE
    assert sorted(folder.names()) == sorted([named, "short.txt"])


def test_choices_drafts_and_ticks_follow_a_new_name(folder: TuneFolder, tmp_path: Path) -> None:
    kept = Kept(tmp_path / "kept.json")
    folder.save("new_tune.txt", NEW_TUNE, None)
    session = session_in(folder, name="new_tune.txt")
    session.kept = kept
    session.choose(Choices(key="Eb"))
    session.tick("new_tune.txt", True)
    session.type("Title: Harbour\n\n| C |\n")
    session.save()
    assert session.name_after_title()
    session.type("Title: Harbour\n\n| C | F |\n")
    assert session.ticked == ("harbour.txt",)
    assert kept.tune == "harbour.txt"
    assert kept.query("harbour.txt")["key"] == "Eb"
    assert kept.query("new_tune.txt")["key"] == ""
    assert session_in(folder, name="harbour.txt").desk.text == session.desk.text


def test_a_name_that_cannot_be_given_leaves_the_old_one(folder: TuneFolder) -> None:
    folder.save("new_tune.txt", "Title: Harbour\n", None)
    session = session_in(folder, name="new_tune.txt")
    (folder.path / "harbour.txt").mkdir()
    with pytest.raises(FolderError, match=r"there is a harbour\.txt already"):
        session.name_after_title()
    assert session.desk.name == "new_tune.txt"
    assert folder.read("new_tune.txt").text == "Title: Harbour\n"
