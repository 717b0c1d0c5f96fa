"""The examples' MIDI files are those that are written now; `support/example_midi.py` makes them."""

from __future__ import annotations

from pathlib import Path

import pytest
from midneck.render.commands.main import run
from support.charts import EXAMPLES, example_texts
from support.example_midi import example_midi

pytestmark = pytest.mark.slow

NAMES = sorted(example_texts())


def test_every_example_has_a_midi_file_and_no_other_lies_there() -> None:
    assert sorted(path.stem for path in EXAMPLES.glob("*.mid")) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_it_is_the_one_that_is_written_now(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    kept = (EXAMPLES / f"{name}.mid").read_bytes()
    assert kept == example_midi(name)
    out = tmp_path / "out.mid"
    assert run(["play", str(EXAMPLES / f"{name}.txt"), "-o", str(out)]) == 0
    assert "moderate level" in capsys.readouterr().out
    assert out.read_bytes() == kept
