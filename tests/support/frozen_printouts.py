"""What the command line prints, whole: a printout for each kind of command.

Each command line is run in a folder of invented tunes and of files that are broken; behind "$ "
stands the line, below it what it prints (`! ` on standard error), last its exit status unless 0.
The name of the folder and seconds are replaced.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Final
from unittest.mock import patch

from midneck.render.commands.main import COMMANDS, run

WEIR: Final = """\
Title: Weir
By: Oda Farrow
Key: F
Tempo: 140

A:
| Gm7 | C7 | F6 | D7b9 |
| Gm7 C7 | F6 | Bbm7 Eb7 | F6 ||
"""
LOCK: Final = """\
Title: Lock
Key: Cm
Time: 3/4
Tempo: 92

|: Dm7b5 | G7b9 | Cm6 | Cm6/B | Cm7/Bb | F7 |1. Bbmaj7 | G7 :|2. Cm6 | % D.C. al Fine ||
"""
SLUICE: Final = """\
title: The Sluice
Feel: bossa

# the bridge is missing
| C-7 | F7 | Bb△ (G7) |
"""
#: Bars before the first repeat, brackets, lengths, a push, rests first, two bars again, endings.
TURNS: Final = """\
Title: Turns

| C6 | G7 |
|: Am7 D7 | C6 (Dm7 G7) |1,2. Em7=1.5 A7=2.5 :|3. F6 / Fm6(push) / | %% ||
B:
"last time slower"
| N.C. | -2- | Bm7b5 E7 | (Am6 Am7) ||
B: again
Coda:
| C6(hold) ||
"""
#: Sections typed once, in an order of their own, with remarks and texts.
FORM: Final = """\
Title: Form
Form: ABACA

# the first part
A:
"softly"
| C6 | G7 | C6 | % |
B:
# two bars alone
| F6 | Fm6 |
C:
|: Am7 | D7 :|
"and back"
"""
FILES: Final = {
    "tunes/weir.txt": WEIR,
    "tunes/lock.txt": LOCK.replace("Cm6 | Cm6/B", "Cm6 Fine | Cm6/B"),
    "sluice.txt": SLUICE,
    "lock_no_fine.txt": LOCK,
    "broken.txt": "Key: H\nTempo: fast\n\n| C | Fyes |\n| Dm7 / G7 |\n",
    "empty.txt": "",
    "pinned.txt": WEIR.replace("| C7 |", "| C7<x 3 2 3 x x> |"),
    "clashes.txt": "Title: Clash\nKey: C\n\n| Cmaj7<x 3 5 3 5 x> | Fm7<x 8 10 9 9 x> | C6 | % |\n",
    "pins.txt": WEIR.replace("| C7 |", "| C7<x 3 2 3 x x> |").replace("| D7b9 |", "| D7b9<1 1> |"),
    "page.html": "<html><body>no tune</body></html>",
    "small.toml": 'preset = "small hand"\nname = "Anna"\n[effort]\nstretch = 2\n',
    "plain.txt": "Title: Plain\nKey: C\n\n| C6 | F6 | C6 | F6 |\n",
    "modal.txt": "Title: Modal\nKey: D dorian\n\n| Dm7 | % | Ebm7 | % |\n| Dm7 | % | % | % |\n",
    "turns.txt": TURNS,
    "form.txt": FORM,
    "odd.toml": 'name = 12\ntuning = ["E2", "A2"]\nscale_mm = 25.5\n[taste]\nsixths = "x"\n',
    "wrong.toml": 'hand = "lefty"\nwindow = [9, 2]\n[reach]\nsize = 9\nthumb = 1\n',
    "book.toml": 'title = "Two"\ntunes = ["tunes/weir.txt", "gone.txt"]\norder = "length"\n',
}

PRINTOUTS: Final[dict[str, str]] = {
    "areas": """
        areas tunes/weir.txt
        areas tunes/weir.txt --all --key Ab
        areas tunes --for tenor
        areas sluice.txt --json
    """,
    "sheets": """
        tidy sluice.txt
        tidy tunes/lock.txt --up 3
        tidy sluice.txt --keep-spelling
        tidy turns.txt
        order turns.txt
        tidy form.txt
        order form.txt
        order tunes/lock.txt
        order tunes/weir.txt sluice.txt
    """,
    "plans": """
        others tunes/weir.txt --bars 3-4 --count 2
        others pinned.txt --bars 1-2
        compare tunes/weir.txt --player adult --player small.toml
        compare tunes/weir.txt --style shell --style four-note
        compare tunes/weir.txt --smooth
        chart tunes/weir.txt --explain
        chart tunes/lock.txt --words
        chart sluice.txt --text --window 5-12
        chart turns.txt --text
    """,
    "found": """
        find tunes
        find tunes --area ii-V-I
        find tunes --area backdoor --in F
        find tunes --key "C minor" --visits Bb
        find tunes --meter 3/4 --tempo 80:100 --max-difficulty 9
        find tunes --chord C7 --text wei
        find tunes --hard-change "F6 D7b9"
        find tunes --grip "x 8 7 7 x x"
        find tunes --grip "x 8 7 7 x 0"
        find tunes --sql "select title, bars from tune order by title"
        find tunes --knows tunes/weir.txt
        find tunes --knows tunes/lock.txt --json
        find tunes --key A
    """,
    "written": """
        chart tunes/weir.txt
        chart tunes/weir.txt --update
        chart tunes -o pages/ --format svg --key F
        chart tunes/weir.txt sluice.txt -o sheets/ --format musicxml -q
        book tunes -o term.pdf --title Term --keep term.toml
        play tunes/weir.txt --bars 3-4 --tempo 100
        play tunes/weir.txt -o weir.mid --choruses 2
        lesson tunes/weir.txt --no-sound --student Anna
        lesson tunes/weir.txt --no-sound --update
        lesson tunes/weir.txt --no-sound
        lesson tunes/weir.txt --no-sound --force -q
        drill ii-V-I --keys C,F --strings 5
        drill "ii7 V7 | I6" --keys C --tempo 90 -o drill.mid
        drill "ii7 V7 | I6" --keys C --format svg -q
        grid --from tunes/weir.txt --line 1 -o line.svg
        grid --from tunes/weir.txt --bars 3-4 -o bars.svg
        grid F6 --from tunes/weir.txt --bars 3 -o f6.svg
        chart tunes/weir.txt --tab -o weir.musicxml --for alto
        chart tunes/weir.txt --large --paper a5 --dpi 40 -o weir.png --hand left
        tidy tunes/lock.txt --in-place
        tidy sluice.txt -o clean/
        grid C7 --root-string 5 -o c7.svg
    """,
    "drills": """
        drill ii-V-I --keys C,F --text --tempo 90
        drill "ii7 V7 | I6" --keys Bb,D --strings 5 --text --ladder 80:100:10
        drill --from tunes/lock.txt --text
        drill --from tunes/weir.txt --key Eb --text
        drill --from plain.txt --text
        drill --from modal.txt --text
        drill backdoor --cycle minor-thirds --text --rhythm charleston --bars-per-chord 2
        drill "Dm7b5 | G7b9 | Cm6" --cycle random --seed 3 --text --octave
    """,
    "data": """
        chart tunes/weir.txt turns.txt --json
        chart clashes.txt --json
        chart clashes.txt --text
        chart clashes.txt
        chart broken.txt tunes/lock.txt --json
        drill ii-V-I --keys C,Eb --json
        drill --from sluice.txt --json
        find tunes --sql "select path, title from tune"
        find tunes --sql "drop table tune"
    """,
    "mistakes": """
        chart broken.txt
        chart empty.txt
        chart page.html
        chart gone.txt
        chart pins.txt
        chart lock_no_fine.txt --text -q
        chart tunes/weir.txt --key Fm
        chart tunes/weir.txt --key H
        chart tunes/weir.txt --up 2 --down 2
        chart tunes/weir.txt --for tuba
        chart tunes/weir.txt --player wrong.toml
        chart tunes/weir.txt --player odd.toml
        chart tunes/weir.txt --player nobody
        chart tunes/weir.txt --window 3
        chart tunes/weir.txt --window 9-2
        chart tunes/weir.txt --window 3–9
        chart tunes/weir.txt --window 3-x
        chart tunes/weir.txt --window -3
        chart tunes/weir.txt --rhythm samba
        chart tunes/weir.txt --rhythm waltz
        chart tunes/weir.txt --json --text
        chart tunes/weir.txt --tab
        chart tunes/weir.txt --dpi 100
        chart tunes/weir.txt --large --analysis -o weir.doc
        chart tunes/weir.txt sluice.txt -o both.pdf
        chart tunes/weir.txt -o page.html
        chart tunes/weir.txt -o sluice.txt --format txt
        chart tunes/weir.txt --defaults wrong.toml
        tidy broken.txt
        tidy tunes/weir.txt -o sluice.txt
        tidy tunes/weir.txt --in-place -o other.txt
        others tunes/weir.txt --bars 20
        others tunes/weir.txt --bars B
        compare tunes/weir.txt
        compare tunes/weir.txt tunes/lock.txt
        compare tunes/weir.txt --player adult --player adult
        compare tunes/weir.txt --style shell --style colour --style four-note
        play tunes/weir.txt --tempo 5
        play tunes/weir.txt --ladder 80-140
        play tunes/weir.txt --ladder 140:80:10
        play tunes/weir.txt --ladder 80:140:0
        play tunes/weir.txt --swing 5:1
        play tunes/weir.txt --swing late
        play tunes/weir.txt --choruses 0
        play tunes/weir.txt --count-in 99
        play tunes/weir.txt --choruses 100 --tempo 20
        play tunes/weir.txt --bars 3-1
        play tunes/weir.txt --soundfont gone.sf2
        play tunes/weir.txt -o weir.xyz
        play tunes/weir.txt --without guitar --without bass --without click
        drill
        drill ii-V-X
        drill backdor
        drill "Dm7 | G7 | C6" --key H
        drill ii-V-I --keys C,C
        drill ii-V-I --seed 3 --cycle fourths
        drill ii-V-I --ladder 80:90:10 --tempo 70
        drill --from gone.txt
        drill --from broken.txt
        drill "ii7 V7 | Qm"
        drill ii-V-I --cycle fifths
        drill ii-V-I --keys C,H
        drill ii-V-I --keys C --cycle fourths
        drill ii-V-I --cycle random --seed -1
        drill ii-V-I --strings 4
        drill ii-V-I --time 9/5
        drill ii-V-I --rhythm waltz
        drill ii-V-I --repetitions 0
        drill ii-V-I --bars-per-chord 3/7
        drill ii-V-I --from tunes/weir.txt
        book tunes -o book.txt
        book book.toml
        book broken.txt tunes -o out.pdf
        book wrong.toml
        find tunes --area ii-V-X
        find tunes --in C
        find tunes --grip "x 5"
        find tunes --tempo 10
        find tunes --meter 3/5
        find tunes --hard-change C7
        find gone
        find tunes --knows sluice.txt
        find tunes --knows gone.txt
        grid
        grid Qm7
        grid C7 --root-string 9
        grid C7 --line 1
        grid --from tunes/weir.txt --line 9
        grid --from tunes/weir.txt --line 1 --bars 1
        grid Abm7 --from tunes/weir.txt
        grid C7 -o c7.pdf
        desk gone
        help nothing
    """,
    "help": "\n".join(["--help", "help format", *(f"{name} --help" for name in sorted(COMMANDS))]),
}


def printout(name: str) -> str:
    """Each line of a printout with what it prints."""
    lines = [line.strip() for line in PRINTOUTS[name].strip().splitlines()]
    with tempfile.TemporaryDirectory() as place, contextlib.chdir(place):
        folder, settings = Path.cwd(), {"COLUMNS": "80", "XDG_CACHE_HOME": f"{place}/cache"}
        for path, text in FILES.items():
            Path(path).parent.mkdir(exist_ok=True)
            Path(path).write_text(text, encoding="utf-8")
        with patch.dict(os.environ, settings):
            told = "\n".join(_printed(shlex.split(line), line) for line in lines)
    return re.sub(r"in \d+\.\d\d s\b", "in N s", told.replace(str(folder), "FOLDER"))


def _printed(arguments: Sequence[str], line: str) -> str:
    streams = [io.TextIOWrapper(io.BytesIO(), encoding="utf-8") for _ in range(2)]
    with contextlib.redirect_stdout(streams[0]), contextlib.redirect_stderr(streams[1]):
        status = run(list(arguments))
    told, errors = map(_content, streams)
    wrong = "".join(f"! {each}\n" for each in errors.splitlines())
    end = f"= {status}\n" if status else ""
    return f"$ {line}\n{told}{wrong}{end}"


def _content(stream: io.TextIOWrapper) -> str:
    stream.seek(0)
    return stream.read()
