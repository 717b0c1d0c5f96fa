"""A coverage-guided fuzz run of the readers, started by hand:

    pip install atheris
    python tests/grammar/fuzz_reader.py sheet -max_total_time=600
    python tests/grammar/fuzz_reader.py score -max_total_time=600

The options after the kind are libFuzzer's. A run stops, and leaves what it read in a file
`crash-…`, when anything but `SheetError` comes out, or when what was read cannot be played, or does
not survive being written: give that file in the place of the options to see it again.
"""

from __future__ import annotations

import sys
import tempfile
from contextlib import suppress
from pathlib import Path

import atheris

sys.path.insert(0, str(Path(__file__).parents[1]))

with atheris.instrument_imports(include=["midneck"]):
    from midneck.grammar.errors import SheetError
    from midneck.grammar.form.unfold import unfold
    from midneck.grammar.musicxml import read_musicxml
    from midneck.grammar.sheet import Sheet
    from midneck.grammar.text import format_text
    from midneck.grammar.text.encoding import decode
    from midneck.grammar.text.reader import read_sheet
    from midneck.grammar.text.writer import write_sheet

from support.musicxml_scores import BUSY, PACKED
from support.tunes import tune_text

TEXTS = [tune_text(number).encode() for number in range(6)]
SEEDS = {
    "sheet": [*TEXTS, *(part.encode() for part in format_text().split("\n\n"))],
    "score": [BUSY, PACKED],
}
#: What mutations put in whole: the words of sheets, the elements and values of scores.
WORDS = {
    "sheet": sorted({*format_text().split(), "♭", "｜", "𝄇", "“", "A: again"}),
    "score": sorted({word for word in BUSY.decode().replace("<", " <").split() if len(word) < 60}),
}


def sheet(data: bytes) -> None:
    """Read a text, play it, write it, and read that again."""
    with suppress(SheetError):
        survive(read_sheet(decode(data, "fuzz").text))


def score(data: bytes) -> None:
    """The same with MusicXML, plain or packed."""
    with suppress(SheetError):
        survive(read_musicxml(data, "fuzz"))


def survive(read: Sheet) -> None:
    """Play a sheet, write it twice. Raises AssertionError when the second time is different."""
    try:
        unfold(read)
        written = write_sheet(read, keep_spelling=True)
        again = write_sheet(read_sheet(written), keep_spelling=True)
    except SheetError as error:
        raise AssertionError("what was read cannot be read again") from error
    if again != written:
        raise AssertionError(f"written differently the second time: {written!r}, {again!r}")


def main(kind: str, options: list[str]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        corpus, words = Path(folder, "corpus"), Path(folder, "words")
        corpus.mkdir()
        for number, seed in enumerate(SEEDS[kind]):
            (corpus / str(number)).write_bytes(seed)
        words.write_text("".join(f'"{quoted(word)}"\n' for word in WORDS[kind]), encoding="utf-8")
        replayed = any(Path(option).is_file() for option in options)
        places = [] if replayed else [str(corpus), f"-dict={words}"]
        atheris.Setup([sys.argv[0], *options, *places], {"sheet": sheet, "score": score}[kind])
        atheris.Fuzz()


def quoted(word: str) -> str:
    """A word as libFuzzer's dictionaries have it."""
    return "".join(
        chr(byte) if 32 < byte < 127 and byte not in b'"\\' else f"\\x{byte:02x}"
        for byte in word.encode()
    )


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2:])
