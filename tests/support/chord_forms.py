"""Chord symbols as people write them: the degrees that are meant, and every way of writing them.

Typed by hand from the usual spellings of the trade (common practice, no source), apart from the
table of qualities, so that the two can be held against each other. A line holds the degrees, a
colon, and what is written after the root; an indented line goes on with the one before.
"""

from __future__ import annotations

from typing import Final

_FORMS: Final = """
1 3 5: (nothing) maj Maj MAJ ma Ma M major Major
1 b3 5: m min Min MIN mi Mi - – − minor Minor
1 3 #5: + aug Aug augmented (#5) (♯5) (+5) +5
1 b3 b5: dim Dim o ° º 0 diminished m(b5) m(♭5) mb5 -b5 -(b5) m-5
1 3 b5: (b5) (♭5) -5 majb5 M(b5) (-5)
1 3 5 b7: 7 dom7 dom (7)
1 3 5 7: maj7 Maj7 MAJ7 ma7 Ma7 M7 j7 mj7 major7 Major7 Δ Δ7 △ △7 ∆7 maj△7 (maj7) M△7
1 b3 5 b7: m7 min7 Min7 MIN7 mi7 Mi7 -7 –7 −7 minor7 m(7) -(7)
1 b3 b5 bb7: dim7 Dim7 DIM7 o7 °7 º7 07 diminished7 dim(bb7)
1 3 #5 b7: 7#5 7♯5 7(#5) 7+5 7(+5) +7 aug7 Aug7 7+ augmented7 7aug
1 b3 b5 b7: m7b5 m7♭5 m7(b5) m7(♭5) m7-5 m7(-5) -7b5 -7(b5) −7♭5 –7(♭5) min7b5 min7(b5) mi7b5
  mi7(b5) ø ø7 Ø Ø7 ∅ ∅7 halfdim halfdim7 half-dim half-dim7 half-diminished hdim7 -7-5 Min7b5
1 b3 5 7: m(maj7) m(Maj7) m(M7) m(△7) mmaj7 mMaj7 mM7 mMA7 min(maj7) minmaj7 minM7 mi(ma7) -(maj7)
  -maj7 -M7 -Δ -Δ7 -(Δ7) –△7 mΔ m△7 m/maj7 m/M7 m#7 m(#7) m+7 min/maj7
1 3 5 6: 6 maj6 Maj6 M6 ma6 add6 (6) (add6) major6
1 b3 5 6: m6 min6 mi6 -6 –6 minor6 m(6) m(add6) -(add6)
1 3 5 6 9: 6/9 69 6(9) 6add9 6(add9) 9/6 maj6/9 M69 6,9 (6,9) (6/9)
1 b3 5 6 9: m6/9 m69 m6(9) m6add9 -6/9 -69 min6/9 mi69 –6/9
1 3 5 b7 9: 9 dom9 7(9) 7/9 7add9 7(add9) 9(9)
1 3 5 7 9: maj9 Maj9 M9 ma9 Δ9 △9 major9 maj7(9) maj7/9 maj7add9 M7(9) Δ7(9)
1 b3 5 b7 9: m9 min9 mi9 -9 –9 minor9 m7(9) -7(9) m7/9 m7add9
1 3 5 b7 9 11: 11 dom11 9(11) 9/11 7(9,11) 7(11,9)
1 3 5 7 9 11: maj11 M11 ma11 Δ11 maj9(11)
1 b3 5 b7 9 11: m11 min11 mi11 -11 –11 m9(11) m7(9,11) m9/11
1 3 5 b7 9 11 13: 13 dom13 11(13) 9(11,13)
1 3 5 7 9 11 13: maj13 M13 ma13 Δ13 △13
1 b3 5 b7 9 11 13: m13 min13 mi13 -13 –13
1 2 5: sus2 Sus2 SUS2 (sus2)
1 4 5: sus sus4 Sus4 SUS4 4 (sus4) (sus) Sus
1 2 4 5: sus2sus4 sus4sus2 sus24 sus2/4 (sus24) (sus2,sus4)
1 4 5 b7: 7sus 7sus4 7(sus4) 7(sus) sus7 7Sus4 7SUS 7/4 7,sus4 sus4(7)
1 4 5 b7 9: 9sus 9sus4 9(sus4) sus9 11sus 7sus4(9) 7sus(add9) 7(sus4,9)
1 4 5 b7 9 13: 13sus 13sus4 13(sus4) sus13 9sus4(13) 7sus4(9,13)
1 4 5 b7 13: 7sus4(13) 7sus(13) 7sus4/13 7sus4add13
1 4 5 7: maj7sus4 maj7sus M7sus4 △7sus4 maj7(sus4)
1 2 5 b7: 7sus2 7(sus2)
1 4 5 b7 b9: 7sus4(b9) 7sus4b9 7susb9 7sus(b9) 7b9sus4 7b9sus 7(b9)sus4 7(b9,sus4) 7(sus4,b9)
  7sus♭9 7sus4-9
1 3 5 9: add9 (add9) 2 add2 (add2) (9) /9 Add9 ADD9
1 b3 5 9: madd9 m(add9) minadd9 -add9 -(add9) m(9) madd2 m2 m(add2) m/9
1 3 5 11: add11 (add11) add4 (add4) (11)
1 b3 5 11: madd11 m(add11) madd4 m(add4) -add11
1 3 5 9 11: add9add11 (add9,add11) (9,11) (add9)(add11)
1 3 5 #11: (#11) add#11 (add#11) (♯11) (+11) M(#11) maj(#11) (#4)
1 5: 5 (no3) no3 (omit3) omit3 (no3rd) power no3rd (no 3) M(no3)
1 3: (no5) no5 omit5 (omit5) (no 5th) maj(no5)
1 3 b7: 7(no5) 7no5 7omit5 7(omit5)
1 5 b7: 7(no3) 7no3 7omit3
1 3 b5 b7: 7b5 7♭5 7(b5) 7(♭5) 7-5 7(-5)
1 3 b5 7: maj7b5 maj7(b5) M7b5 Δ7b5 △7(♭5) maj7-5 ma7(b5)
1 3 #5 7: maj7#5 maj7(#5) M7#5 M7+5 Δ7#5 △7(♯5) +maj7 +M7 +Δ +△7 +(maj7) augmaj7 maj7+ maj7+5
  aug(maj7)
1 3 #5 b7 9: 9#5 9(#5) 9+5 +9 aug9 9+ 7(#5,9)
1 3 b5 b7 9: 9b5 9(b5) 9-5 9♭5
1 3 5 b7 b9: 7b9 7♭9 7(b9) 7(♭9) 7-9 7(-9) 7addb9 7(addb9) 9(b9) 7,b9 7 (b9)
1 3 5 b7 #9: 7#9 7♯9 7(#9) 7(♯9) 7+9 7(+9) 7add#9
1 3 5 b7 b9 #9: 7(b9,#9) 7b9#9 7#9b9 7(#9,b9) 7(b9#9) 7(♭9♯9)
1 3 5 b7 #11: 7#11 7♯11 7(#11) 7+11 7(+11) 7(#4) 7add#11
1 3 5 b7 9 #11: 9#11 9(#11) 9+11 9(♯11) 11(#11) 7(9,#11)
1 3 5 b7 9 #11 13: 13#11 13(#11) 13(♯11) 13+11 9(#11,13) 9#11(13)
1 3 5 b7 b9 #11: 7b9#11 7(b9,#11) 7(#11,b9) 7#11b9 7(b9#11) 7(b9)(#11) 7b9(#11) 7(♭9,♯11) 7(♭9♯11)
  7-9+11 7(b9, #11) 7(b9/#11) 7(b9;#11)
1 3 5 b7 b13: 7b13 7(b13) 7♭13 7(-13) 7-13 7(b6)
1 3 5 b7 13: 7(13) 7/13 7add13 7(add13) 7add6 7/6
1 3 5 b7 b9 13: 7(b9,13) 7b9(13) 7(13,b9) 7b9add13 7b9/13
1 3 5 b7 b9 b13: 7(b9,b13) 7b9b13 7b13b9 7(b13b9) 7(♭9♭13)
1 3 #5 b7 b9: 7#5b9 7b9#5 7(#5,b9) 7(b9,#5) +7b9 +7(b9) aug7(b9) 7+b9 7(♯5♭9)
1 3 #5 b7 #9: 7#5#9 7#9#5 7(#5,#9) 7(#9,#5) +7#9 +7(#9) 7(♯5♯9) 7+5+9
1 3 b5 b7 b9: 7b5b9 7b9b5 7(b5,b9) 7(b9,b5) 7(♭5♭9) 7-5-9
1 3 b5 b7 #9: 7b5#9 7#9b5 7(b5,#9) 7(#9b5)
1 3 5 b7 b9 11 13: 13b9 13(b9) 13♭9 13-9
1 3 b5 #5 b7 b9 #9: 7alt alt 7(alt) 7(b5,#5,b9,#9) 7(#9,b9,#5,b5) 7b5#5b9#9
1 3 5 7 #11: maj7#11 maj7(#11) M7#11 Δ7#11 △7(♯11) maj7(#4) maj7+11 ma7(#11)
1 3 5 7 9 #11: maj9#11 maj9(#11) M9#11 Δ9(#11)
1 3 5 7 9 #11 13: maj13#11 maj13(#11) Δ13(♯11)
1 3 5 6 #11: 6(#11) 6#11 maj6(#11)
1 3 5 7 13: maj7(13) maj7/13 maj7add13 maj7/6 maj7(add6)
1 b3 5 b7 11: m7(11) m7add11 m7(add11) m7/11 m7add4 -7(11) m7(add4)
1 b3 5 b7 b13: m7b13 m7(b13) m7(b6)
1 b3 #5 b7: m7#5 m7(#5) -7#5 m7+5 m7(♯5)
1 b3 b5 b7 9: m9b5 m9(b5) ø9 -9b5 m7b5(9) m7b5add9 m7(b5,9) ø7(9)
1 b3 b5 b7 b9: m7b5b9 m7b5(b9) m7(b5,b9) ø(b9) øb9 -7b5b9 m7(b9,b5) m7b9b5
1 b3 b5 b7 11: m7b5(11) m7b5add11 ø7(11) ø(add11) m7(b5,11)
1 b3 b5 b7 9 11: m11b5 m11(b5) ø11 -11b5 m7b5(9,11)
1 b3 5 7 9: m(maj9) mmaj9 mM9 -Δ9 m(M9) minmaj9 -maj9 mΔ9 m9(maj7) m(maj7,9)
1 b3 b5 7: dim(maj7) dimmaj7 dimM7 °(maj7) oM7 °Δ °△7 dim△7 o(maj7)
1 b3 b5 bb7 7: dim7(maj7) °7(maj7) o7(maj7) dim7maj7
1 b3 b5 bb7 9: dim7(9) °9 dim9 o9 dim7add9
1 4 b7: quartal q4 4ths
"""


def chord_forms() -> list[tuple[str, str]]:
    """All forms as (what is written after the root, the degrees that are meant)."""
    forms = []
    for line in _FORMS.strip().replace("\n  ", " ").splitlines():
        degrees, _, written = line.partition(": ")
        spaced = written.replace("(no 3)", "(no_3)").replace("(no 5th)", "(no_5th)")
        spaced = spaced.replace("7 (b9)", "7_(b9)").replace("b9, #11", "b9,_#11")
        forms += [(form.replace("_", " "), degrees) for form in spaced.split()]
    return [("" if form == "(nothing)" else form, degrees) for form, degrees in forms]
