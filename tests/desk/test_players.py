"""The player files of the folder at the desk: which are listed, and what choosing one means."""

from __future__ import annotations

import asyncio
import os
from collections.abc import Awaitable, Callable
from dataclasses import replace
from pathlib import Path
from urllib.parse import parse_qsl, quote

import midneck
import pytest
from midneck.grammar.limits import MAX_TOML_BYTES
from midneck.render.desk.choices import PLAYERS, Choices
from midneck.render.desk.folder import FolderError, TuneFolder
from midneck.render.desk.kept import Kept
from midneck.render.desk.players import choices_of, filed_names, read_anew, with_player
from midneck.render.desk.practice import DrillWish, TuneText, drill_sheet, lessons_of
from midneck.render.desk.session import Desk, Session
from midneck.render.desk.take_away import file_stem, taken
from midneck.render.desk.work import work_out
from nicegui import ui
from nicegui.testing import User
from support.desk_user import desk_user
from support.loops import in_thread

TUNE = "Title: Short\nKey: C\n\n| Dm7 G7 | Cmaj7 |\n"
ANNA = 'name = "Anna"\npreset = "small hand"\nhand = "left"\nwindow = [5, 9]\n'
BOOK = 'title = "Evenings"\ntunes = ["short.txt"]\n'
SETTINGS = '[project]\nname = "other"\n'
USUAL = Choices()


@pytest.fixture
def tunes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> TuneFolder:
    """A folder with a tune, a player and two files that describe none."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    folder = tmp_path / "tunes"
    folder.mkdir()
    texts = {"short.txt": TUNE, "anna.toml": ANNA, "book.toml": BOOK, "other.toml": SETTINGS}
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    return TuneFolder(folder)


def test_player_files_are_listed_by_the_players_name(tunes: TuneFolder, tmp_path: Path) -> None:
    (tunes.path / "bo.toml").write_text('preset = "beginner"\n', encoding="utf-8")
    (tunes.path / "cleo.toml").write_text('name = "Anna"\n', encoding="utf-8")
    (tunes.path / "dan.toml").write_text('preset = "beginer"\n', encoding="utf-8")
    (tunes.path / "eve.toml").write_text('name = "adult"\n', encoding="utf-8")
    (tmp_path / "away.toml").write_text(ANNA, encoding="utf-8")
    (tunes.path / "link.toml").symlink_to(tmp_path / "away.toml")
    assert filed_names(tunes, USUAL) == {
        "anna.toml": "Anna",
        "bo.toml": "bo",
        "cleo.toml": "Anna (cleo.toml)",
        "dan.toml": "dan",
        "eve.toml": "adult (eve.toml)",
    }
    chosen = with_player(tunes, USUAL, "bo.toml")
    (tunes.path / "bo.toml").unlink()
    assert filed_names(tunes, chosen)["bo.toml"] == "bo"
    assert filed_names(TuneFolder(tmp_path / "nowhere"), USUAL) == {}


def test_a_chosen_file_comes_back_from_the_address_and_from_what_is_kept(
    tunes: TuneFolder, tmp_path: Path
) -> None:
    chosen = with_player(tunes, Choices(paper="letter"), "anna.toml")
    assert (chosen.hand, chosen.chosen_player().window) == ("left", (5, 9))
    assert chosen.to_query() == "player=anna.toml&paper=letter"
    kept = Kept(tmp_path / "kept.json")
    for choices in (chosen, Choices(player="anna.toml", hand="right", filed=chosen.filed)):
        kept.keep("short.txt", choices)
        assert choices_of(tunes, dict(parse_qsl(choices.to_query()))) == (choices, "")
        assert choices_of(tunes, kept.query("short.txt")) == (choices, "")
    assert with_player(tunes, chosen, "adult") == Choices(hand="left", paper="letter")


def test_a_changed_file_is_read_anew(tunes: TuneFolder) -> None:
    """The name of a player is printed too, though players are equal without it."""
    query = {"player": "anna.toml"}
    first = work_out(TUNE, choices_of(tunes, query)[0])
    for text, seen in ((ANNA.replace("Anna", "Hanna"), "Hanna"), (f"{ANNA}frets = 19\n", "Anna")):
        (tunes.path / "anna.toml").write_text(text, encoding="utf-8")
        work = work_out(TUNE, choices_of(tunes, query)[0])
        assert work.chart is not None
        assert work.chart.player.name == seen
        assert work is not first
    assert work.chart.player.neck.frets == 19


def test_the_chosen_file_is_followed(tunes: TuneFolder) -> None:
    """A hand that was chosen at the desk stays until the file has another one."""
    chosen = replace(with_player(tunes, USUAL, "anna.toml"), hand="right", paper="letter")
    file = tunes.path / "anna.toml"
    assert read_anew(tunes, chosen) == (chosen, "")
    file.write_text(ANNA.replace("[5, 9]", "[4, 9]"), encoding="utf-8")
    wider, said = read_anew(tunes, chosen)
    assert said == ""
    assert (wider.hand, wider.paper, wider.chosen_player().window) == ("right", "letter", (4, 9))
    file.write_text(ANNA.replace("left", "right"), encoding="utf-8")
    assert read_anew(tunes, replace(wider, hand="left"))[0].hand == "right"
    file.write_text("window = 4\n", encoding="utf-8")
    same, said = read_anew(tunes, chosen)
    assert same is chosen
    assert said.startswith("anna.toml, line 1: a window is")
    file.unlink()
    for choices in (chosen, USUAL):
        assert read_anew(tunes, choices) == (choices, "")
    assert filed_names(tunes, chosen)["anna.toml"] == "Anna"


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("gone.toml", None, r"gone\.toml cannot be read: no such file.*choose another player"),
        ("bad.toml", 'hand = "lefft"\nwindow = 4\n', r"bad\.toml, line 1: .*'left'\? And 1 more\."),
        ("bad.toml", 'preset = "adult"\nhand =\n', r"bad\.toml, line 2: .*expected TOML"),
        ("bad.toml", "x" * (MAX_TOML_BYTES + 1), "larger than 100,000 bytes"),
        ("bad.toml", "preset = '\ud800'", "no UTF-8 text"),
        ("book.toml", None, "is no player file: it has lines such as"),
        ("other.toml", None, "is no player file"),
        ("../away.toml", None, "is no name of a player file"),
        ("/etc/away.toml", None, "is no name of a player file"),
        ("<b>\n.toml", None, "is no name of a player file"),
        ("link.toml", None, "leads out of the folder"),
        ("pipe.toml", None, "cannot be read: is a pipe or a device"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_file_is_told_and_the_desk_goes_on(
    tunes: TuneFolder, tmp_path: Path, name: str, text: str | None, said: str
) -> None:
    (tmp_path / "away.toml").write_text(ANNA, encoding="utf-8")
    (tunes.path / "link.toml").symlink_to(tmp_path / "away.toml")
    os.mkfifo(tunes.path / "pipe.toml")
    if text is not None:
        (tunes.path / name).write_bytes(text.encode("utf-8", "surrogatepass"))
    choices, told = choices_of(tunes, {"player": name, "paper": "letter"})
    assert choices == Choices(paper="letter")
    with pytest.raises(FolderError, match=said) as raised:
        with_player(tunes, USUAL, name)
    assert str(raised.value) == told


def test_all_that_is_made_is_for_the_player_of_the_file(tunes: TuneFolder) -> None:
    """The files and names are those of the command line for the same player file."""
    chosen = with_player(tunes, USUAL, "anna.toml")
    session = Session(tunes, Desk(choices=chosen))
    session.open("short.txt")
    in_thread(session.work())
    chart = midneck.chart(TUNE, player=tunes.path / "anna.toml")
    assert [data for _, data in taken(session, "pdf")] == [data for _, data in chart.files("pdf")]
    assert file_stem(session) == "short_left_anna_frets-5-9"
    player = chosen.chosen_player()
    drill = drill_sheet(DrillWish("ii-V-I", keys="C"), chosen, None).drill
    assert drill.exercises[0].chart.player == player
    [lesson] = lessons_of(chosen, [TuneText("short.txt", TUNE.encode())])
    assert lesson.name.endswith("_left_anna_frets-5-9")


def at_the_desk(
    tunes: TuneFolder, player: str, do: Callable[[User], Awaitable[None]] | None = None
) -> list[str]:
    """What is told when the desk is opened with a player of its address, and what is chosen."""
    said: list[str] = []

    async def visit() -> None:
        async with desk_user(tunes.path) as user:
            await user.open(f"/?tune=short.txt&player={quote(player)}")
            if do is not None:
                await do(user)
            said.extend([*user.notify.messages, select(user).value])

    in_thread(visit())
    return said


def select(user: User) -> ui.select:
    """The choice of the player."""
    assert user.client is not None
    found = [each for each in user.client.elements.values() if each.props.get("label") == "for"]
    assert isinstance(found[0], ui.select)
    return found[0]


def test_a_file_is_chosen_at_the_desk_below_the_presets(tunes: TuneFolder) -> None:
    async def do(user: User) -> None:
        assert list(select(user).options) == [*PLAYERS, "anna.toml"]
        select(user).value = "anna.toml"
        await user.should_see("left")
        (tunes.path / "anna.toml").write_text("window = 4\n", encoding="utf-8")
        select(user).value = "adult"
        select(user).value = "anna.toml"
        await user.should_see("The player stays as it was.")

    said = at_the_desk(tunes, "small-hand", do)
    assert said[-1] == "adult"
    assert "anna.toml, line 1: a window is" in said[0]


def test_files_that_come_change_and_go_are_seen_without_a_reload(
    tunes: TuneFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("midneck.render.desk.choices_panel.LOOK_S", 0.02)

    async def listed(user: User, *names: str) -> None:
        for _ in range(500):
            if list(select(user).options.values())[len(PLAYERS) :] == [*names]:
                break
            await asyncio.sleep(0.02)
        assert list(select(user).options.values())[len(PLAYERS) :] == [*names]

    async def do(user: User) -> None:
        await listed(user, "Anna")
        (tunes.path / "bo.toml").write_text('name = "Bo"\nhand = "left"\n', encoding="utf-8")
        await listed(user, "Anna", "Bo")
        select(user).value = "bo.toml"
        await user.should_see("left")
        (tunes.path / "anna.toml").unlink()
        (tunes.path / "bo.toml").write_text('name = "Bob"\nhand = "lefft"\n', encoding="utf-8")
        await user.should_see("bo.toml, line 2")
        (tunes.path / "bo.toml").write_text('name = "Bob"\nhand = "right"\n', encoding="utf-8")
        await listed(user, "Bob")
        await user.should_see("right")
        (tunes.path / "bo.toml").unlink()
        await asyncio.sleep(0.2)
        await listed(user, "Bob")

    told, chosen = at_the_desk(tunes, "adult", do)
    assert chosen == "bo.toml"
    assert told.endswith("The player stays as it was.")


def test_a_file_of_the_address_is_taken_or_told(tunes: TuneFolder) -> None:
    assert at_the_desk(tunes, "anna.toml") == ["anna.toml"]
    told, chosen = at_the_desk(
        tunes, "../<b>.toml", lambda user: user.should_see("The desk goes on for an adult.")
    )
    assert told.startswith("'../<b>.toml' is no name of a player file")
    assert chosen == "adult"


def test_the_stand_is_for_the_player_of_the_file_or_says_what_is_wrong(tunes: TuneFolder) -> None:
    async def ask() -> list[tuple[int, str]]:
        async with desk_user(tunes.path) as user:
            names = ("anna.toml", "gone.toml")
            got = [await user.http_client.get(f"/stand/short.txt?player={n}") for n in names]
            return [(answer.status_code, answer.text) for answer in got]

    (good, page), (gone, message) = in_thread(ask())
    assert (good, gone) == (200, 422)
    assert "Anna" in page
    assert "gone.toml cannot be read" in message
