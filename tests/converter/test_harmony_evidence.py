"""The kinds of evidence for the home key: what each says, and tunes that it alone decides.

The tunes are made up of cadences and tonics of related keys; each stands in the first key with the
kind of evidence that it is about, and in the second without it. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import asdict, replace

import pytest
from midneck.converter.harmony import home
from midneck.converter.harmony.weights import WEIGHTS
from support.harmony import analysed, sheet_of

#: A kind of evidence, and pairs of tunes with the key that it gives them and the key without it.
DECIDED: dict[str, tuple[tuple[str, str, str], ...]] = {
    "opens_on_tonic": (
        ("G6 | Dm7 | G7 | Cmaj7 | Gm7 C7 | Am6 | Bb7 | D7", "G major", "C major"),
        ("Cmaj7 | G7 | Bm7b5 | E7 | F6 | C7 | G6 | Fmaj7", "C major", "A minor"),
    ),
    "opens_on_minor_seventh": (
        ("Am7 | D7 | Am6 | D7 | Em7 A7 | Dm7 | G7 | Fmaj7", "A minor", "G major"),
        ("Dm7 | G7 | Gm7 C7 | Cmaj7 | Bb7 | Bb7 | Bb7 | Em7 A7", "D minor", "C major"),
    ),
    "opens_near": (
        ("Fmaj7 | Gm7 C7 | Bm7b5 | E7 | Gmaj7 | A7 | Em7 A7 | C6", "C major", "F major"),
        ("Em7 | Dm7 G7 | Dm6 | Gmaj7 | C7 | Cmaj7 | E7 | Am7 D7", "G major", "E minor"),
    ),
    "phrases_open": (
        ("G6 | G7 | A7 | F6 | Gmaj7 | Bm7b5 | E7 | Fmaj7 | "
         "C6 | Gm7 C7 | F6 | Dm6 | G7 | Am6 | C6 | Dm6", "C major", "F major"),
        ("C6 | C6 | Bb7 | Gm7 C7 | A7 | G7 | Bb7 | Bb7 | "
         "Am6 | Dm6 | Em7 A7 | Dm7 G7 | Bb7 | Fmaj7 | Dm6 | Am7 D7", "A minor", "C major"),
    ),
    "phrases_close": (
        ("Am7 | G6 | Dm7 | G7 | Cmaj7 | Gm7 C7 | Am6 | Bb7 | "
         "D7 | Am7 | Bm7b5 E7 | Cmaj7 | Am7 D7 | Am7 D7 | Am6 | D7", "C major", "G major"),
        ("G6 | C7 | G6 | Am7 D7 | Dm7 G7 | Gm7 C7 | Dm6 | Am6 | "
         "Dm6 | Am7 | Bb7 | Am7 D7 | Am7 | Cmaj7 | Am7 | Dm6", "A minor", "G major"),
    ),
    "phrases_turn": (
        ("G6 | C7 | F6 | F6 | C6 | C6 | Dm7 | G7 | "
         "Dm7 | G7 | Fmaj7 | Fmaj7 | Bm7b5 | E7 | E7 | Dm7", "C major", "F major"),
        ("Gm7 C7 | Bm7b5 E7 | Dm7 G7 | Em7 | Cmaj7 | Dm7 G7 | Em7 | Bm7b5 E7 | "
         "F6 | Bm7b5 | E7 | Bm7b5 | E7 | Em7 | G6 | Em7", "A minor", "E minor"),
    ),
    "rests": (
        ("C6 | C6 | Bm7b5 | E7 | A7 | Dm6 | Fmaj7 | G7", "D minor", "C major"),
        ("Bm7b5 | E7 | Am6 | Dm7 | G7 | C6 | D7 | Am7", "C major", "A minor"),
    ),
    "cadences": (
        ("Gm7 C7 | Dm7 | G7 | C6 | G7 | G7 | G6 | Am7 D7", "C major", "G major"),
        ("Am7 | Gm7 C7 | Fmaj7 | G6 | Am7 | Dm7 | G7 | G6", "F major", "A minor"),
    ),
    "closes_on_tonic": (
        ("C6 | C6 | Dm7 | G7 | G7 | Dm7 G7 | Em7 A7 | Dm6", "D minor", "C major"),
        ("F6 | D7 | C7 | F6 | G7 | C6 | Bm7b5 E7 | C7", "C major", "F major"),
    ),
    "closes_early": (
        ("Gm7 C7 | Dm7 | G7 | C6 | G7 | G7 | G6 | Am7 D7", "C major", "G major"),
        ("Em7 A7 | Dm6 | D7 | Am7 | Am6 | C6 | E7 | Bm7b5", "D minor", "A minor"),
    ),
    "ends_on_tonic": (
        ("G7 | C6 | Am7 D7 | Gm7 C7 | Bm7b5 | E7 | Gmaj7 | Am6", "A minor", "G major"),
        ("Gm7 C7 | Em7 A7 | Dm7 G7 | E7 | Gm7 C7 | G7 | Em7 A7 | Fmaj7", "F major", "G major"),
    ),
    "turns_to": (
        ("G6 | C7 | F6 | F6 | C6 | C6 | Dm7 | G7", "C major", "F major"),
        ("F6 | Am7 D7 | Gmaj7 | Bb7 | Em7 A7 | Bm7b5 | E7 | Gm7 C7", "F major", "G major"),
    ),
    "turns_to_opening": (
        ("Dm6 | Gm7 C7 | C7 | E7 | Am7 | Em7 | F6 | A7", "D minor", "A minor"),
        ("Am7 | Am6 | F6 | Dm7 G7 | C6 | Am7 D7 | Bm7b5 E7 | E7", "A minor", "C major"),
    ),
    "time_on_tonic": (
        ("Fmaj7 | F6 | Dm6 | C6 | Gmaj7 | E7 | Am7 | Am7 D7", "G major", "A minor"),
        ("Bm7b5 | E7 | Cmaj7 | F6 | D7 | C6 | Em7 | Gm7 C7", "C major", "A minor"),
    ),
}  # fmt: skip


def test_every_kind_of_evidence_has_its_pair() -> None:
    assert set(DECIDED) == set(asdict(WEIGHTS.home))
    assert all(one[1] != two[1] for one, two in DECIDED.values())


@pytest.mark.parametrize("kind", sorted(DECIDED))
def test_each_kind_of_evidence_decides_tunes_alone(
    kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    without = replace(WEIGHTS, home=replace(WEIGHTS.home, **{kind: 0.0}))
    for bars, key, other in DECIDED[kind]:
        sheet = sheet_of(bars)
        assert str(analysed(sheet).key) == key
        with monkeypatch.context() as patch:
            patch.setattr(home, "WEIGHTS", without)
            assert str(analysed(sheet).key) == other
