"""The rules of the analysis and their prices, in one table.

Prices are in units of the optimisation: 0 is the price of a diatonic chord, 1 is about the price of
a borrowed chord for one bar. The fit tables hold the diatonic, applied and borrowed chords of
textbooks. The weights of the evidence for the key of the tune are round numbers from theory; on
progressions written from memory and not kept here, a logistic regression regularised towards them
finds no better ones, within the error of cross-validation. So they are judgements, checked from
memory, and no measured constants. Degrees are counted from the major scale on the tonic in both
modes, `b` and `#` before the numeral.
"""

from __future__ import annotations

from typing import Final

from ...grammar.frozen import frozen
from .chord_class import Sound

#: The price of a chord in a major key without regard to its neighbours, by sound and degree.
#: Degrees that are not listed cost `Weights.foreign`.
MAJOR_FIT: Final[dict[Sound, str]] = {
    Sound.MAJOR: "I .0 IV .3 V .5 bVII 1.0 bVI 1.2 bIII 1.3 bII 1.2 II 1.3",
    Sound.MAJOR_6: "I .0 IV .3 bVII 1.3 bVI 1.3 bIII 1.4 bII 1.2 V 1.5",
    Sound.MAJOR_7: "I .0 IV .3 bVII 1.4 bVI 1.2 bIII 1.2 bII 1.1 V 1.6",
    Sound.DOMINANT: "V .0 I 1.0 IV .9 bVII .9 II .8 VI .8 III 1.0 VII 1.2 "
    "bII .9 bVI 1.2 bIII 1.4 #IV 1.5",
    Sound.SUSPENDED: "V .0 I 1.0 II .9 IV 1.3 VI 1.0 III 1.2 bVII 1.3",
    Sound.MINOR: "VI .4 II .3 III .6 IV .9 V 1.5 I 1.9",
    Sound.MINOR_7: "II .0 VI .3 III .4 IV 1.0 V 1.2 VII 1.4 I 1.8 bIII 1.5",
    Sound.MINOR_6: "II .6 IV .8 VI 1.3 III 1.3 I 1.9",
    Sound.MINOR_MAJOR: "II 1.0 VI 1.0 IV 1.2 I 1.9",
    Sound.HALF_DIMINISHED: "VII .7 II .8 #IV .7 III .9 VI 1.1",
    Sound.DIMINISHED: "VII .6 #I .5 #II .6 #IV .6 #V .6 I .7 IV 1.0 II 1.0 III .8",
    Sound.AUGMENTED: "V .2 I .8 II 1.0 VI 1.0 III 1.0 IV 1.3",
    Sound.OPEN: "I .3 V .4 IV .5 II .6 VI .8",
}

#: The same in a minor key.
MINOR_FIT: Final[dict[Sound, str]] = {
    Sound.MAJOR: "bVI .4 bIII .5 V .7 bVII .8 IV 1.3 bII .9",
    Sound.MAJOR_6: "bIII .5 bVI .4 bVII 1.2 bII 1.0",
    Sound.MAJOR_7: "bVI .3 bIII .5 bII .9 bVII 1.2",
    Sound.DOMINANT: "V .0 bVII .6 bVI .5 IV .9 II .9 I 1.1 bII .8 bIII 1.1 VI 1.5",
    Sound.SUSPENDED: "V .1 bVII .8 IV 1.0 I 1.2 II 1.1",
    Sound.MINOR: "I .0 IV .2 V .7",
    Sound.MINOR_7: "I .1 IV .2 V .8 II 1.1 bVII 1.6",
    Sound.MINOR_6: "I .0 IV .3 V 1.3 bVII 1.5",
    Sound.MINOR_MAJOR: "I .0 IV .9",
    Sound.HALF_DIMINISHED: "II .0 VI .6 #IV 1.0 V 1.0 VII 1.2",
    Sound.DIMINISHED: "VII .3 II .7 #IV .6 III .9 I .8 IV .9 V .9 bVI .9",
    Sound.AUGMENTED: "V .1 I 1.1 bIII .7 bVI 1.0",
    Sound.OPEN: "I .3 V .4 IV .5 bVI .6 bIII .7 bVII .7",
}

#: The price of an applied dominant by the degree that it aims at, in major and in minor.
MAJOR_APPLIED: Final = (
    "II .4 V .4 IV .5 VI .5 III .7 bVII 1.2 bIII 1.2 bVI 1.2 bII 1.3 VII 1.2 #IV 1.5"
)
MINOR_APPLIED: Final = "IV .4 V .4 bIII .6 bVI .6 bVII .7 II .9 bII 1.0 III 1.6 VI 1.6"


@frozen
class HomeWeights:
    """The weight of each kind of evidence in the form for the key of the tune."""

    #: The tune opens on its tonic.
    opens_on_tonic: float = 3.0
    #: It opens on a minor seventh that a dominant follows: a ii more often than a tonic.
    opens_on_minor_seventh: float = 1.0
    #: It opens on its vi or IV, as many tunes do that close elsewhere.
    opens_near: float = 1.0
    #: Phrases after the first open on it.
    phrases_open: float = 2.0
    #: Phrases before the last close on it.
    phrases_close: float = 2.0
    #: Phrases before the last end on its dominant: a half cadence.
    phrases_turn: float = 1.0
    #: Phrases close on it with a sixth chord or a triad, a stronger rest than a seventh.
    rests: float = 1.5
    #: The share of all cadences, by their strength, that reach it.
    cadences: float = 3.0
    #: The last full cadence before the turnaround reaches it.
    closes_on_tonic: float = 3.0
    #: The last full cadence reaches it, but more than a turnaround follows.
    closes_early: float = 1.0
    #: The last chord of the form is its tonic.
    ends_on_tonic: float = 1.5
    #: The last dominant aims at it.
    turns_to: float = 2.0
    #: The last dominant aims at it, and the form opens on it.
    turns_to_opening: float = 1.5
    #: The share of the time in which its tonic sounds.
    time_on_tonic: float = 3.0


@frozen
class Weights:
    """Prices of the optimisation; the comment on each field says what it is the price of.

    `border` decides between tonicization and modulation: it is paid once for leaving a key and once
    for returning, so that an applied ii–V–I of two bars stays in the home key while four bars or
    more with a tonic of their own become a local key.
    """

    #: A chord foreign to the key, for one bar.
    foreign: float = 2.2
    #: A change of local key.
    border: float = 2.2
    #: Added to a change for each step between the two keys on the ring of related keys.
    border_step: float = 0.2
    #: A change where a phrase starts, as a factor of its price: a section can have its own key.
    border_at_phrase: float = 0.75
    #: For each bar outside the home key, by steps of distance: most music stays near home.
    away: float = 0.03
    #: Reward of a dominant that leads to its tonic, the strongest evidence of a key.
    cadence: float = 0.9
    #: Added to that reward when the ii comes before the dominant.
    cadence_with_ii: float = 0.3
    #: Reward of a ii–V that does not resolve.
    open_two_five: float = 0.7
    #: A half-diminished ii or an altered V: evidence of minor, and less of major.
    minor_colour: float = 0.25
    #: The related ii of an applied dominant, added to the price of the dominant.
    related_ii: float = 0.25
    #: A tritone substitute, added to the price of the dominant that it replaces.
    tritone: float = 0.15
    #: An applied dominant whose target does not follow.
    unresolved: float = 0.7
    #: Reward of a I that lasts four bars or more and is not the ii of the next chord.
    standing: float = 0.5
    #: A seventh chord at rest on I or IV, as in the blues.
    resting: float = 0.15
    #: The prices that a key's share among all keys falls by the factor e for.
    confidence: float = 1.5
    #: The key that the header or a section states; large enough to override all other evidence.
    settled: float = 1000.0
    #: IV7 in a minor vamp with i7.
    vamping: float = 0.4
    #: What a chord says of the key on the same tonic in the other mode, as a share.
    parallel: float = 0.6
    #: What a seventh chord at rest says of a major key whose tonic is not a seventh chord.
    seventh_tonic: float = 0.7
    #: What a seventh chord that resolves, except to IV7, says of a key with a seventh as tonic.
    falling_tonic: float = 0.3
    #: What a dominant says of the mode that is less likely after it.
    aim_other_mode: float = 0.7
    #: What the last dominant says after a close on another tonic: it only leads back to the top.
    leads_back: float = 0.35
    #: A key whose tonic is a seventh chord.
    seventh_home: float = 0.5
    #: The evidence of the form.
    home: HomeWeights = HomeWeights()


#: The prices in force.
WEIGHTS: Final = Weights()
