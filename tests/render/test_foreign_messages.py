"""No command prints a control character or an override of direction, whatever files are called."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from midneck.grammar.foreign_text import harmless
from midneck.render import commands
from midneck.render.commands.main import run

Output = pytest.CaptureFixture[str]
#: The name of a file that sets a terminal's title, on two lines.
NAME = "x\x1b]0;owned\x07\u202e\ny.txt"
TUNE = (
    "Title: T\x1b[31m\u202eune\nBy: \x9b1mB\nCapo: 2\nKey: C\nHum\x07: \x1bc\n\nA\x08:\n"
    '"so\x1bftly"\n| Dm7 | G7 | Cmaj7 C6 | A7 |\n'
)
BAD = "Key: \x1b]0;x\x07\nA\x1b:\n| C\x9bq | H\x1b[2J | C | F |\nB: \u202eagain\n"
#: The commands, with the places of a tune (T), of a sheet with mistakes (B) and of the folder (F).
COMMANDS = [
    "chart T -o out/", "chart B -o out/", "chart F -o out/", "chart T --text", "chart T --words",
    "chart T --json", "chart B --json", "chart T --explain", "chart none\x1b.txt", "chart T T",
    "chart T -o F", "chart T -f \x1b", "chart T --key \x1b]0;k\x07", "areas T --details",
    "areas B", "areas T --json", "tidy T", "tidy B", "tidy T -o F", "others T 1", "compare T B",
    "compare T --players adult,\x1b", "order T", "order B", "play T -o out/p.mid", "play B",
    "drill ii-V-I\x1b[0m", "drill T", "drill ii-V-I --keys \x1b", "lesson B",
    "book T B -o out/b.pdf", "book F --title \x1b]0;b\x07 -o out/c.pdf", "find F", "find F --json",
    "find F --key \x1b[1m", "find none\x1b", "grid C\x1bq", "grid C7 -o out/\x1b.svg", "\x1b[31m",
    "help \x1b[31m", "desk none\x1b",
]  # fmt: skip


@pytest.fixture
def folder(working_folder: Path) -> Path:
    for place, text in ((f"t/{NAME}", TUNE), (f"t/b{NAME}", BAD)):
        path = Path(place)
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return working_folder


@pytest.mark.parametrize("typed", COMMANDS)
def test_no_message_steers_a_terminal(folder: Path, capsys: Output, typed: str) -> None:
    places = {"T": f"t/{NAME}", "B": f"t/b{NAME}", "F": "t"}
    run([places.get(word, word) for word in typed.split(" ")])
    told = capsys.readouterr()
    assert told.out + told.err
    assert told.out + told.err == harmless(told.out + told.err)
    for path in folder.glob("out/**/*.*"):
        if path.suffix in (".svg", ".txt", ".musicxml"):
            text = path.read_text(encoding="utf-8")
            assert text == harmless(text)


def test_commands_print_through_one_module() -> None:
    folder = Path(commands.__file__).parent
    printing = [
        f"{path.name}: {line.strip()}"
        for path in sorted(folder.glob("*.py"))
        for line in path.read_text(encoding="utf-8").splitlines()
        if re.search(r"click\.s?echo\(|(?<!\w)print\(|write_stdout\(.*encode\(", line)
        if path.name != "messages.py" and "get_help(" not in line
    ]
    assert printing == []
