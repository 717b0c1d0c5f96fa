"""The practice sheet of a modal tune: its own kinds of chords, no dominants."""

from __future__ import annotations

from midneck.converter.drill.tune import drill_of
from midneck.converter.harmony.chord_class import DOMINANTS, Sound, chord_class
from midneck.converter.prose.drill import summary_lines
from support.charts import chart_of

MODAL = """Key: D dorian

| Dm7 | % | Em7 | % | Dm7 | % | Em7 | % |
| Ebm7 | % | Asus | % | Dm7 | % | Em7 | % |
"""


def test_a_modal_tune_practises_its_own_kinds_of_chords_round_the_keys() -> None:
    drill = drill_of(chart_of(MODAL))
    kinds = drill.exercises[0]
    progression = kinds.progression
    assert progression is not None
    assert [numeral.typeset for numeral in progression.numerals][:2] == ["i7", "Vsus4"]
    chords = [written.chord for written in kinds.chart.sheet.chords if written.chord]
    sounds = {chord_class(chord).sound for chord in chords}
    assert sounds == {Sound.MINOR_7, Sound.SUSPENDED}
    assert not sounds & (DOMINANTS - {Sound.SUSPENDED})
    assert len({chord.root.pitch_class for chord in chords}) == 12
    assert "its own kinds of chords" in drill.notes[0]


def test_a_summary_names_the_keys_of_loops_once() -> None:
    rows = [line.split(maxsplit=1) for line in summary_lines(drill_of(chart_of(MODAL)))]
    keys = [row[1] for row in rows if row[0] == "keys"]
    assert keys[-1] == "D dorian Eb dorian"
