"""Numerals as values: roots, spelling, text; and whatever is typed, reading never breaks."""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from midneck.grammar.chord import Chord
from midneck.grammar.errors import SheetError
from midneck.grammar.key import Key, parse_key
from midneck.grammar.numeral import Numeral, numeral_of
from midneck.grammar.pitch import LETTERS, PitchName, Tone, parse_pitch_name
from midneck.grammar.progression import Progression
from midneck.grammar.quality import QUALITIES, Quality
from midneck.grammar.text.progression import parse_numeral, read_progression
from support.roots import MAJOR_TONICS

QUALITIES_HELD = [row for row in QUALITIES if row.kind != "none"]


@pytest.mark.parametrize("row", QUALITIES_HELD, ids=lambda row: row.text or "major")
def test_every_quality_reads_back_on_every_degree(row: object) -> None:
    assert isinstance(row, type(QUALITIES[0]))
    for degree in range(1, 8):
        for alteration in (-1, 0, 1):
            numeral = Numeral(degree, alteration, row.kind, row.changes)
            assert read_progression(str(numeral)).numerals == (numeral,), str(numeral)


@pytest.mark.parametrize("name", MAJOR_TONICS)
def test_a_chord_of_a_key_is_its_numeral_again(name: str) -> None:
    key = parse_key(name)
    for text in ("ii7", "V7", "Imaj7", "bVII7", "#iv°7", "iiø7", "bVImaj7", "iv6"):
        (numeral,) = read_progression(text).numerals
        again = numeral_of(numeral.chord_in(key), key)
        assert again.semitones == numeral.semitones
        assert again.chord_in(key) == numeral.chord_in(key)


def test_roots_are_spelled_from_the_tonic() -> None:
    (three,) = read_progression("iii7").numerals
    assert str(three.chord_in(parse_key("Db"))) == "Fm7"
    assert str(three.chord_in(parse_key("B"))) == "D#m7"
    assert str(three.chord_in(parse_key("Gb"))) == "Bbm7"


@pytest.mark.parametrize(
    ("text", "key", "chord"),
    [
        ("IVmaj7", "Gb", "Bmaj7"),  # not Cbmaj7
        ("subV7", "Eb", "E7"),  # not Fb7
        ("subV7", "Ab", "A7"),  # not Bbb7
        ("V7/iii", "F#", "F7"),  # not E#7
        ("bVII7", "Gb", "E7"),
    ],
)
def test_white_keys_have_their_plain_names(text: str, key: str, chord: str) -> None:
    (numeral,) = read_progression(text).numerals
    assert str(numeral.chord_in(parse_key(key))) == chord


def test_an_applied_numeral_lies_above_its_goal() -> None:
    # The V of the ii lies a fifth above it: 7 + 2 semitones above the tonic.
    assert Numeral(5, kind="dominant", of=Tone(2)).semitones == 9
    # A tritone substitute lies a semitone above its goal.
    assert Numeral(5, kind="dominant", substitute=True).semitones == 1
    assert Numeral(5, kind="dominant", of=Tone(4), substitute=True).semitones == 6


def test_degrees_and_kinds_are_checked() -> None:
    with pytest.raises(ValueError, match="from 1 to 7"):
        Numeral(8)
    for kind in ("sweet", "none"):
        with pytest.raises(ValueError, match="MusicXML"):
            Numeral(1, kind=kind)


def test_a_degree_has_at_most_two_flats_or_sharps() -> None:
    with pytest.raises(ValueError, match="at most two flats or sharps; bbb7 does not"):
        Numeral(7, -3)
    with pytest.raises(ValueError, match="at most two flats or sharps; ###4 does not"):
        Numeral(5, of=Tone(4, 3))


def test_a_substitute_replaces_the_v_only() -> None:
    with pytest.raises(ValueError, match="replaces the V, not 6"):
        Numeral(6, kind="dominant", substitute=True)
    assert outcome("ii7 subVI7 I") == (None, [5])


def test_a_small_goal_needs_a_goal() -> None:
    with pytest.raises(ValueError, match="applied to no degree"):
        Numeral(5, small=True)


def test_augmented_triads_carry_a_plus() -> None:
    # As ° and ø: the sign of the quality (common practice, no source).
    assert str(Numeral(5, kind="augmented")) == "V+"
    assert str(Numeral(3, -1, "augmented", of=Tone(4))) == "bIII+/IV"


@pytest.mark.parametrize("tonic", [str(PitchName(x, y)) for x in LETTERS for y in (-1, 0, 1)])
def test_every_root_has_a_numeral_that_gives_its_pitch_class(tonic: str) -> None:
    """Also where letters alone would ask for three sharps: a Gb in A# minor, an F## in Cb."""
    key = Key(parse_pitch_name(tonic))
    for letter in LETTERS:
        for sign in range(-2, 3):
            chord = Chord(PitchName(letter, sign), "dominant")
            numeral = numeral_of(chord, key)
            assert numeral.chord_in(key).root.pitch_class == chord.root.pitch_class


DEGREES = st.builds(Tone, st.integers(1, 7), st.integers(-2, 2))


@example(Tone(6, -1), next(row for row in QUALITIES if row.kind == "German"), None, False)
@given(DEGREES, st.sampled_from(QUALITIES_HELD), st.none() | DEGREES, st.booleans())
def test_the_text_of_any_numeral_reads_back(
    degree: Tone, row: Quality, of: Tone | None, small: bool
) -> None:
    numeral = Numeral(
        degree.degree, degree.alteration, row.kind, row.changes, of, small and of is not None
    )
    assert parse_numeral(str(numeral)) == numeral
    assert read_progression(str(numeral)).numerals == (numeral,)


@pytest.mark.parametrize("of", [None, *(Tone(each) for each in range(1, 8)), Tone(3, -1)])
def test_the_text_of_a_substitute_reads_back(of: Tone | None) -> None:
    for small in (False, True) if of else (False,):
        numeral = Numeral(5, kind="dominant", of=of, small=small, substitute=True)
        assert read_progression(str(numeral)).numerals == (numeral,)


def outcome(text: str) -> tuple[Progression | None, list[int]]:
    """What a text reads as, or the columns of what is wrong in it."""
    try:
        return read_progression(text, Key(PitchName("C"))), []
    except SheetError as error:
        return None, [problem.column for problem in error.problems]


@example("B/B°")  # a list of added degrees: VII(addb3,addb5)
@given(st.text(alphabet="iIvVbB#♭7mM6ø°△Δ%/|–- ()subajDGC:9+", max_size=30))
def test_whatever_is_typed_is_read_or_refused_with_places(text: str) -> None:
    progression, columns = outcome(text)
    if progression is None:
        assert columns
        assert all(1 <= column <= max(1, len(text)) for column in columns)
    else:
        assert read_progression(str(progression)) == progression


def test_a_quality_that_begins_like_a_chord_or_degree_is_in_brackets() -> None:
    assert str(Numeral(6, -1, "German")) == "bVI(German)"
    assert str(Numeral(6, -1, "Italian", of=Tone(5))) == "bVI(Italian)/V"


@pytest.mark.parametrize(
    "text", ["", "ii7 V7", "| ii7 |", "ii7 /", "%", "Dm7", "minor: ii7", "VIII7", "Vqq"]
)
def test_a_text_that_is_not_one_numeral_is_refused(text: str) -> None:
    with pytest.raises(SheetError, match="the numeral"):
        parse_numeral(text)


def test_what_is_no_numeral_is_shown_where_it_stands() -> None:
    with pytest.raises(SheetError) as caught:
        parse_numeral("Vqq")
    [problem] = caught.value.problems
    assert (problem.source, problem.column, problem.text) == ("Vqq", 2, "qq")
    with pytest.raises(SheetError) as caught:
        parse_numeral("ii7 V7")
    assert [each.source for each in caught.value.problems] == ["ii7 V7"]
