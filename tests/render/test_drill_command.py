"""`midneck drill` as a teacher types it: files, text, data, sound, refusals."""

from __future__ import annotations

import json
import wave
from io import BytesIO
from pathlib import Path

import mido
import pytest
from midneck.converter.drill.progressions import CYCLES, PROGRESSIONS
from midneck.converter.prose.facts import HAND_CAUTION, HEARING_CAUTION
from midneck.render.commands.main import run
from midneck.render.page.drawing.style import LARGE_PT
from pypdf import PdfReader
from support.charts import LANTERNS

Output = pytest.CaptureFixture[str]


@pytest.fixture
def folder(working_folder: Path) -> Path:
    (working_folder / "lanterns.txt").write_text(LANTERNS, encoding="utf-8")
    return working_folder


def words(text: str) -> str:
    """A text in one line."""
    return " ".join(text.split())


def test_one_command_prints_both_rounds_for_a_small_hand(folder: Path, capsys: Output) -> None:
    asked = ["ii-V-I", "--cycle", "whole-steps", "--player", "small-hand"]
    assert run(["drill", *asked, "--rhythm", "four-to-the-bar"]) == 0
    told = capsys.readouterr().out
    assert "C Bb Ab Gb E D | Db B A G F Eb" in told
    assert "wrote   ii-V-I_small-hand_whole-steps.pdf" in told
    assert max(len(line) for line in told.splitlines()) <= 80
    reader = PdfReader(folder / "ii-V-I_small-hand_whole-steps.pdf")
    assert len(reader.pages) == 2
    assert reader.metadata is not None
    assert reader.metadata.title == "ii–V–I in major, down in whole steps, two rounds of six keys"


def test_another_prints_the_practice_sheet_of_a_tune(folder: Path, capsys: Output) -> None:
    assert run(["drill", "--from", "lanterns.txt"]) == 0
    assert "Hard changes" in capsys.readouterr().out
    text = words(" ".join(p.extract_text() for p in PdfReader("lanterns-drill.pdf").pages))
    assert "Practice sheet: Lanterns Going Down" in text
    assert HAND_CAUTION in text


@pytest.mark.parametrize("kind", ["svg", "png"])
def test_pictures_get_a_file_a_page(kind: str, folder: Path) -> None:
    assert run(["drill", "ii-V-I", "-o", f"two.{kind}"]) == 0
    assert sorted(path.name for path in folder.glob("two*")) == [f"two-1.{kind}", f"two-2.{kind}"]
    assert run(["drill", "dominants", "-o", f"one.{kind}"]) == 0
    assert [path.name for path in folder.glob("one*")] == [f"one.{kind}"]


def test_a_typed_progression_and_named_keys(folder: Path, capsys: Output) -> None:
    assert run(["drill", "ii7", "V7", "I6", "--keys", "C, F#,Bb", "--text"]) == 0
    told = capsys.readouterr().out
    assert [line for line in told.splitlines() if line.startswith("[ ]")] == [
        "[ ] [ ] [ ] [ ] C major", "[ ] [ ] [ ] [ ] F# major", "[ ] [ ] [ ] [ ] Bb major",
    ]  # fmt: skip
    assert "G#m7" in told
    assert max(len(line) for line in told.splitlines()) <= 80
    assert list(folder.glob("*.pdf")) == []


def test_typed_chords_start_in_the_key_they_are_heard_in(folder: Path, capsys: Output) -> None:
    assert run(["drill", "Gm7 | C7 | F6", "--cycle", "fourths", "--json"]) == 0
    (exercise,) = json.loads(capsys.readouterr().out)["exercises"]
    assert exercise["progression"] == "ii7 | V7 | I6"
    keys = [station["key"] for station in exercise["stations"]]
    assert keys[:3] == ["F major", "Bb major", "Eb major"]
    assert len(keys) == 12


def test_the_same_seed_gives_the_same_order(folder: Path, capsys: Output) -> None:
    def order(seed: str) -> list[str]:
        assert run(["drill", "ii-V-I", "--seed", seed, "--json"]) == 0
        (exercise,) = json.loads(capsys.readouterr().out)["exercises"]
        return [station["key"] for station in exercise["stations"]]

    assert order("5") == order("5")
    assert order("5") != order("6")
    assert len(set(order("5"))) == 12


def test_data_points_into_the_chords_of_its_report(folder: Path, capsys: Output) -> None:
    assert run(["drill", "ii-V-I", "--strings", "5", "--ladder", "80:120:20", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["practice"]["ladder"] == [80, 100, 120]
    (exercise,) = data["exercises"]
    first = exercise["stations"][0]
    chords = exercise["chart"]["chords"]
    assert first["root_string"] == 5
    assert [chords[index]["roman"] for index in first["chords"]] == ["ii7", "V7", "I6"]
    # Common practice, no source: from string 5 the first roots lie at frets 5, 3, 3.
    grips = [chords[index]["grip"]["frets"] for index in first["chords"]]
    assert (grips[0][1], grips[1][0], grips[2][1]) == (5, 3, 3)


def test_playback_climbs_the_ladder_with_its_repetitions(folder: Path, capsys: Output) -> None:
    asked = ["ii-V-I", "--keys", "C", "--repetitions", "2", "--ladder", "100:120:20"]
    assert run(["drill", *asked, "-o", "up.mid"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 80
    told = words(" ".join(lines))
    assert HAND_CAUTION in told
    assert HEARING_CAUTION in told
    file = mido.MidiFile(folder / "up.mid")
    tempi = [message.tempo for message in file if message.type == "set_tempo"]
    assert tempi == [600_000, 500_000]
    # Two tempos: a bar of count-in, then twice the four bars: 9 bars of four beats.
    assert file.length == pytest.approx(36 * 0.6 + 36 * 0.5, abs=0.01)


def test_sound_lasts_as_long_as_the_drill(folder: Path) -> None:
    asked = ["dominants", "--keys", "C,F", "--repetitions", "1", "--tempo", "240"]
    assert run(["drill", *asked, "-o", "short.wav", "-q"]) == 0
    with wave.open(str(folder / "short.wav")) as sound:
        seconds = sound.getnframes() / sound.getframerate()
    # A bar of count-in and two bars at 240: three seconds, and what rings on.
    assert 3.0 <= seconds < 4.5


def test_a_tune_plays_a_file_an_exercise(folder: Path) -> None:
    assert run(["drill", "--from", "lanterns.txt", "-o", "out/", "--format", "mid", "-q"]) == 0
    assert run(["drill", "--from", "lanterns.txt", "--json"]) == 0
    names = sorted(path.name for path in (folder / "out").iterdir())
    assert names[0] == "lanterns-drill-1.mid"
    assert len(names) > 2


def test_large_print_is_large(folder: Path) -> None:
    assert run(["drill", "ii-V-I", "--keys", "C", "--large", "-q"]) == 0
    sizes: set[float] = set()

    def see(text: str, cm: object, tm: object, font: object, size: float) -> None:
        if text.strip():
            sizes.add(size)

    for page in PdfReader(BytesIO((folder / "ii-V-I_keys-C.pdf").read_bytes())).pages:
        page.extract_text(visitor_text=see)
    assert min(sizes) >= LARGE_PT


def test_standard_output_takes_the_page(folder: Path, capfdbinary) -> None:
    assert run(["drill", "sixths", "-o", "-"]) == 0
    assert capfdbinary.readouterr().out.startswith(b"%PDF")


def test_a_file_of_others_is_kept(folder: Path, capsys: Output) -> None:
    (folder / "mine.pdf").write_text("my own")
    assert run(["drill", "sixths", "-o", "mine.pdf"]) == 2
    assert "add --force" in capsys.readouterr().err
    assert (folder / "mine.pdf").read_text() == "my own"
    assert run(["drill", "sixths", "-o", "mine.pdf", "--force", "-q"]) == 0
    assert capsys.readouterr().out == ""
    assert (folder / "mine.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("asked", "message"),
    [
        ([], "say which progression: ii-V-I, ii-V-Imaj7"),
        (["ii-V-I", "--json", "-o", "-"], "--json and -o - both print: give one of them"),
        (["ii-V-I", "--text", "--format", "mid"], "--text writes no file: leave out --format"),
        (["backdor"], "did you mean backdoor"),
        (["ii7 | Q7"], "Q7"),
        (["ii-V-I", "--cycle", "tones"], "there are whole-steps, fourths"),
        (["ii-V-I", "--cycle", "random"], "needs --seed"),
        (["ii-V-I", "--cycle", "keys"], "--keys C,F,Bb"),
        (["ii-V-I", "--keys", "C,H"], "did you mean B"),
        (["ii-V-I", "--keys", "C,F", "--cycle", "fourths"], "leave out --cycle fourths"),
        (["ii-V-I", "--seed", "1", "--keys", "C"], "a random order: leave out --keys"),
        (["ii-V-I", "--seed", "1", "--cycle", "fourths"], "leave out --cycle fourths"),
        (["ii-V-I", "--strings", "7"], "--strings takes 6, 5, any, not '7'"),
        (["ii-V-I", "--strings", "any", "--octave"], "choose --strings 6 or 5"),
        (["ii-V-I", "--repetitions", "0"], "repetitions goes from 1 to 100"),
        (["ii-V-I", "--bars-per-chord", "1/0"], "a number of bars, as in 2 or 1/2"),
        (["ii-V-I", "--bars-per-chord", "1e9"], "at most 8 bars"),
        (["ii-V-I", "--ladder", "80"], "80:140:10"),
        (["ii-V-I", "--rhythm", "polka"], "four-to-the-bar, two-to-the-bar"),
        (["ii-V-I", "--rhythm", "waltz"], "waltz does not fit 4/4"),
        (["ii-V-I", "--time", "9"], "as in 4/4, 3/4 or 6/8"),
        (["ii-V-I", "--window", "ten"], "as in 3-10"),
        (["ii-V-I", "--player", "nobody"], "adult, small-hand, beginner"),
        (["ii-V-I", "--key", "Q"], "is not a key"),
        (["ii-V-I", "-o", "drill.aiff"], "there are: pdf, svg, png, txt, mid, wav, ogg, flac, mp3"),
        (["ii-V-I", "-o", "-", "--format", "svg"], "standard output takes one file, not 2: name a"),
        (["ii-V-I", "-o", "x.png", "--format", "pdf"], "-o x.png and --format pdf ask for two"),
        (["ii-V-I", "--from", "lanterns.txt"], "not both"),
        (["--from", "nothing.txt"], "nothing.txt"),
        (["ii-V-I", "--ladder", "40:400:4", "--repetitions", "9", "-o", "x.mid"], "60 minutes"),
    ],
)
def test_what_cannot_be_is_said_with_what_there_is(
    asked: list[str], message: str, folder: Path, capsys: Output
) -> None:
    assert run(["drill", *asked]) == 2
    assert message in words(capsys.readouterr().err)
    assert [path.name for path in folder.iterdir()] == ["lanterns.txt"]


def test_all_that_is_wrong_is_said_at_once(folder: Path, capsys: Output) -> None:
    wrong = ["--strings", "4", "--rhythm", "polka", "--keys", "H,X", "--window", "z"]
    assert run(["drill", "backdor", *wrong, "--tempo", "1", "--ladder", "9"]) == 2
    told = words(capsys.readouterr().err)
    for piece in ("'4'", "'polka'", "'H'", "'X'", "'z'", "tempo goes from", "'9'", "'backdor'"):
        assert piece in told


def test_the_help_lists_progressions_and_cycles(capsys: Output) -> None:
    assert run(["drill", "--help"]) == 0
    told = capsys.readouterr().out
    rows = [(row.name, row.text) for row in PROGRESSIONS] + [
        (one.name, one.description) for one in CYCLES
    ]
    for name, says in rows:
        assert any(line.split()[:1] == [name] and says in line for line in told.splitlines())


def test_a_tune_comes_by_standard_input(
    folder: Path, capsys: Output, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Typed:
        buffer = BytesIO(LANTERNS.encode())

    monkeypatch.setattr("sys.stdin", Typed)
    assert run(["drill", "--from", "-"]) == 0
    assert "wrote   sheet-drill.pdf" in capsys.readouterr().out


def test_a_tune_brings_its_meter_and_its_rhythm(folder: Path, capsys: Output) -> None:
    head, chords = "Title: Quay\nFeel: bossa\n\nA:\n", "| Dm7 | G7 | C6 | % ||\n"
    for time, feel, rhythm in (("4/4", "bossa", "bossa"), ("3/4", "", "waltz")):
        text = f"{head}{chords}".replace("Feel: bossa", f"Time: {time}\nFeel: {feel}")
        (folder / "quay.txt").write_text(text, encoding="utf-8")
        assert run(["drill", "--from", "quay.txt", "--json"]) == 0
        practice = json.loads(capsys.readouterr().out)["practice"]
        assert (practice["time"], practice["rhythm"]) == (time, rhythm)
