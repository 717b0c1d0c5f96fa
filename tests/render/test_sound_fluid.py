"""Sound through FluidSynth and a SoundFont the user names, with a stand-in for the program.

The stand-in does what FluidSynth 2.3 was seen to do: it answers 0 even where it plays nothing, and
says on standard error what went wrong. Source of the file's first bytes: SoundFont Technical
Specification 2.04.
"""

from __future__ import annotations

import io
import json
import sys
import wave
from pathlib import Path

import mido
import numpy as np
import pytest
from midneck.render.commands.main import run

SHEET = "Title: Tram Stop\nTempo: 120\n\nA:\n| Dm7 | G7 ||\n"
#: Count-in, two bars, and a second to ring: at 120 a minute 6 s and 1 s.
SECONDS = 7
RATE = 44_100

STAND_IN = """\
import json, math, sys
from array import array
from pathlib import Path

words = sys.argv[1:]
out = Path(words[words.index("-F") + 1])
here = Path(__file__).parent
(here / "words.json").write_text(json.dumps(words))
(here / "tune.mid").write_bytes(Path(words[-1]).read_bytes())
{does}
"""
#: One side only, far louder than full scale, for ten seconds.
PLAYS = """\
tone = [8 * math.sin(at / 20) for at in range(441000)]
out.write_bytes(array("f", [side for one in tone for side in (one, 0.0)]).tobytes())
"""
Output = pytest.CaptureFixture[str]


@pytest.fixture
def folder(working_folder: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (working_folder / "tram.txt").write_text(SHEET, encoding="utf-8")
    (working_folder / "small.sf2").write_bytes(b"RIFF\x04\0\0\0sfbk")
    (working_folder / "programs").mkdir()
    monkeypatch.setenv("PATH", str(working_folder / "programs"))
    return working_folder


def stand_in(folder: Path, does: str) -> None:
    program = folder / "programs" / "fluidsynth"
    text = f"#!{sys.executable}\n{STAND_IN.format(does=does)}"
    program.write_text(text, encoding="utf-8")
    program.chmod(0o755)


def play(*more: str) -> int:
    return run(["play", "tram.txt", "-o", "tram.wav", "--soundfont", "small.sf2", *more])


def test_the_soundfont_is_played(folder: Path) -> None:
    stand_in(folder, PLAYS)
    assert play() == 0
    words = json.loads((folder / "programs" / "words.json").read_text(encoding="utf-8"))
    assert str(folder / "small.sf2") == words[-2]
    assert words[words.index("-r") + 1] == str(RATE)
    tune = mido.MidiFile(file=io.BytesIO((folder / "programs" / "tune.mid").read_bytes()))
    assert tune.length == pytest.approx(SECONDS - 1)


def test_what_it_gives_is_levelled_and_as_long_as_our_own(folder: Path) -> None:
    stand_in(folder, PLAYS)
    assert play() == 0
    with wave.open("tram.wav") as file:
        assert (file.getnchannels(), file.getframerate()) == (1, RATE)
        assert file.getnframes() == SECONDS * RATE
        heard = np.frombuffer(file.readframes(file.getnframes()), "<i2") / 32768
    assert np.sqrt(np.mean(heard**2)) == pytest.approx(0.1, rel=0.001)  # −20 dBFS
    assert np.abs(heard).max() < 10 ** (-1 / 20)
    assert b"made by Midneck" in (folder / "tram.wav").read_bytes()


def test_a_short_answer_is_filled_with_silence(folder: Path) -> None:
    short = "out.write_bytes(array('f', [0.5, 0.5] * RATE).tobytes())"
    stand_in(folder, short.replace("RATE", str(RATE)))
    assert play() == 0
    with wave.open("tram.wav") as file:
        assert file.getnframes() == SECONDS * RATE
        heard = np.frombuffer(file.readframes(file.getnframes()), "<i2")
    assert heard[RATE - 1] != 0
    assert not heard[RATE:].any()


@pytest.mark.parametrize(
    ("does", "message"),
    [
        ("print('fluidsynth: error: Failed to load it', file=sys.stderr)\n" + PLAYS, "to load it"),
        ("print('Failed to load the SoundFont', file=sys.stderr)\n" + PLAYS, "Failed to load"),
        ("sys.exit(3)", "exit status 3"),
        ("out.write_bytes(b'')", "wrote no sound"),
        ("", "wrote no sound"),
    ],
)
def test_a_failing_program_is_told_of(
    does: str, message: str, folder: Path, capsys: Output
) -> None:
    stand_in(folder, does)
    assert play() == 2
    told = capsys.readouterr().err
    assert message in told
    assert "leave --soundfont out" in told
    assert not (folder / "tram.wav").exists()


def test_a_warning_does_no_harm(folder: Path) -> None:
    stand_in(folder, "print('fluidsynth: warning: no preset', file=sys.stderr)\n" + PLAYS)
    assert play() == 0


def test_a_missing_program_is_told_of(folder: Path, capsys: Output) -> None:
    assert play() == 2
    assert "there is no program 'fluidsynth' here: install it" in capsys.readouterr().err


def test_a_program_that_does_not_start_is_told_of(folder: Path, capsys: Output) -> None:
    program = folder / "programs" / "fluidsynth"
    program.write_text("#!/no/such/interpreter\n", encoding="utf-8")
    program.chmod(0o755)
    assert play() == 2
    assert "cannot be run (no such file or directory)" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("none.sf2", "none.sf2 cannot be read (no such file or directory)"),
        (".", "cannot be read (is a directory)"),
        ("tram.txt", "tram.txt is not a SoundFont: name an .sf2 or .sf3 file"),
        ("empty.sf2", "empty.sf2 is not a SoundFont"),
        ("tone.wav", "tone.wav is not a SoundFont"),
    ],
)
def test_what_is_no_soundfont_is_refused(
    name: str, message: str, folder: Path, capsys: Output
) -> None:
    stand_in(folder, PLAYS)
    (folder / "empty.sf2").touch()
    (folder / "tone.wav").write_bytes(b"RIFF\x04\0\0\0WAVE")
    (folder / "tram.wav").write_bytes(b"old, made by Midneck")
    assert play("--soundfont", name) == 2
    assert message in capsys.readouterr().err
    assert (folder / "tram.wav").read_bytes() == b"old, made by Midneck"
    assert not (folder / "programs" / "words.json").exists()


@pytest.mark.parametrize(
    ("wish", "message"),
    [
        (["-o", "tram.mid", "--soundfont", "small.sf2"], "--soundfont plays a file of sound"),
        (["-o", "tram.wav", "--strings-apart"], "--strings-apart is for a .mid file"),
    ],
)
def test_a_wish_that_the_format_does_not_hold_is_refused(
    wish: list[str], message: str, folder: Path, capsys: Output
) -> None:
    assert run(["play", "tram.txt", *wish]) == 2
    assert message in capsys.readouterr().err
    assert not list(folder.glob("tram.[mw]*"))
