"""`--update` makes what is missing or has changed, and nothing else."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from midneck.render import stamps
from midneck.render.commands.main import run
from midneck.render.stamps import fingerprint, is_current
from support.run_command import tunes_in

pytestmark = pytest.mark.slow

LONG = "Title: Long\nKey: C\n\nA:\n" + "| Dm7 | G7 | C6 | A7 |\n" * 40


@pytest.fixture
def folder(working_folder: Path) -> Path:
    tunes_in(working_folder, 3)
    assert run(["chart", "tunes", "-o", "out/", "-q"]) == 0
    return working_folder


def made(*options: str, source: str = "tunes") -> set[str]:
    """The files that a run with `--update` writes: a replaced file is another one on the disk."""
    out = Path("out")
    before = {path.name: path.stat().st_ino for path in out.iterdir()}
    keep = [path.open("rb") for path in out.iterdir()]  # numbers of open files are not used again
    assert run(["chart", source, "-o", "out/", "-q", "--update", *options]) == 0
    after = {path.name: path.stat().st_ino for path in out.iterdir()}
    for file in keep:
        file.close()
    return {name for name, number in after.items() if before.get(name) != number}


def test_nothing_is_made_twice(folder: Path) -> None:
    assert made() == set()
    assert made("--jobs", "2") == set()


def test_a_changed_sheet_is_made_again(folder: Path) -> None:
    path = folder / "tunes" / "tune001.txt"
    path.write_text(path.read_text(encoding="utf-8") + "# hm\n", encoding="utf-8")
    assert made() == {"tune001.pdf"}
    assert made() == set()


def test_a_missing_file_is_made_again(folder: Path) -> None:
    (folder / "out" / "tune002.pdf").unlink()
    assert made() == {"tune002.pdf"}


@pytest.mark.parametrize("kind", ["pdf", "svg", "png", "txt", "musicxml"])
def test_a_file_that_was_cut_is_made_again(folder: Path, kind: str) -> None:
    made("--format", kind)
    path = folder / "out" / f"tune002.{kind}"
    whole = path.read_bytes()
    path.write_bytes(whole.replace(b"\n", b" ", 1) if kind == "txt" else whole[:-9])
    assert stamps.is_stamped(path)
    assert made("--format", kind) == {path.name}
    assert path.read_bytes() == whole


@pytest.mark.parametrize(
    "options",
    [["--key", "Eb"], ["--large"], ["--hand", "left"], ["--style", "colour"], ["--smooth"],
     ["--studio", "Northgate"], ["--second-page"], ["--window", "2-9"]],
)  # fmt: skip
def test_another_option_makes_all_again(folder: Path, options: list[str]) -> None:
    assert len(made(*options)) == 3
    assert made(*options) == set()


def test_a_changed_player_makes_all_again(folder: Path) -> None:
    player = folder / "player.toml"
    player.write_text('hand = "right"\nwindow = [3, 9]\n', encoding="utf-8")
    assert len(made("--player", "player.toml")) == 3
    assert made("--player", "player.toml") == set()
    player.write_text('hand = "right"\nwindow = [4, 9]\n', encoding="utf-8")
    assert len(made("--player", "player.toml")) == 3


def test_changed_code_makes_all_again(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(stamps, "code_digest", lambda: "other")
    assert len(made("--jobs", "1")) == 3


@pytest.mark.parametrize("kind", ["svg", "png", "txt", "musicxml"])
def test_every_format_tells_what_it_was_made_of(folder: Path, kind: str) -> None:
    assert made("--format", kind) == {f"tune00{number}.{kind}" for number in range(3)}
    assert made("--format", kind) == set()


@pytest.mark.parametrize("kind", ["svg", "png"])
def test_a_missing_page_makes_all_pages_again(folder: Path, kind: str) -> None:
    Path("long.txt").write_text(LONG, encoding="utf-8")
    pages = made("--format", kind, source="long.txt")
    assert len(pages) > 1
    assert made("--format", kind, source="long.txt") == set()
    (folder / "out" / sorted(pages)[1]).unlink()
    assert made("--format", kind, source="long.txt") == pages


def test_a_file_of_somebody_else_is_kept(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    theirs = folder / "out" / "tune000.pdf"
    theirs.write_bytes(b"a letter")
    assert run(["chart", "tunes", "-o", "out/", "-q", "--update"]) == 1
    assert "was not made by Midneck" in capsys.readouterr().err
    assert theirs.read_bytes() == b"a letter"


def test_up_to_date_is_told(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["chart", "tunes", "-o", "out/", "--update"]) == 0
    assert capsys.readouterr().out.splitlines() == [
        f"out/tune00{number}.pdf is up to date" for number in range(3)
    ]


@pytest.mark.parametrize("option", ["--json", "--text", "--explain", "--words"])
def test_what_is_printed_is_never_up_to_date(folder: Path, option: str, capsys) -> None:
    assert run(["chart", "tunes", "-o", "out/", "--update", option]) == 2
    assert "--update is for files" in capsys.readouterr().err


def test_the_stamp_changes_no_more_than_itself(folder: Path, capsys) -> None:
    """The report of a written MusicXML file is that of the sheet it was made of."""
    reports = []
    assert run(["chart", "tunes/tune001.txt", "-q", "-o", "again.musicxml"]) == 0
    for name in ("tunes/tune001.txt", "again.musicxml"):
        assert run(["chart", name, "--json"]) == 0
        reports.append(json.loads(capsys.readouterr().out)["chords"])
    assert reports[0] == reports[1]


def test_a_fingerprint_is_that_of_all_its_parts(tmp_path: Path) -> None:
    prints = {
        fingerprint(b"", "ab"),
        fingerprint(b"", "a", "b"),
        fingerprint(b"ab"),
        fingerprint(b"b", "a"),
        fingerprint(b"", ("a", "b")),
    }
    assert len(prints) == 5
    assert not is_current(tmp_path / "none.pdf", prints.pop())
