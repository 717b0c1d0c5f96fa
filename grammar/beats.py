"""How the chords of a bar share its beats.

Without slashes chords share the bar evenly, as long as every share comes out in eighths: two
chords in 5/4 have two and a half beats each, three chords in 4/4 are refused, because thirds of a
bar of 4/4 are not played; slashes make one of the chords longer, and chords in a bracket may share
the part of one. As soon as a bar has a slash or a length, every chord and slash (a token) is one
beat, and together they fill the bar. In cut time and other halves the tokens may count quarters; in
6/8, 9/8 and 12/8 they may count dotted quarters, as players do. Beats are in the meter's lower
number, exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import groupby

from .errors import Problem, SourcePosition
from .frozen import frozen
from .mistakes import mistake
from .sheet import Meter


@frozen
class Share:
    """The share of one chord: `tokens` is 1 and its slashes, `length` its beats if stated."""

    tokens: int = 1
    length: Fraction | None = None


def even(shares: Sequence[Share]) -> bool:
    """Whether the chords of a bar share it evenly: no slash, no length."""
    return all(share.tokens == 1 and share.length is None for share in shares)


def even_share(count: int, meter: Meter) -> Fraction | None:
    """The beats of each of `count` chords in a bar, None when they are no multiple of an eighth.

    One chord fills any bar.
    """
    share = Fraction(meter.beats, count)
    return share if count == 1 or (share * 8 / meter.unit).denominator == 1 else None


def tokens_a_bar(meter: Meter) -> tuple[int, ...]:
    """How many tokens fill a bar that has slashes: its beats first, then other ways to count it."""
    counts = [meter.beats]
    if meter.unit == 2:
        counts.append(2 * meter.beats)
    if meter.compound:
        counts.append(meter.beats // 3)
    return tuple(counts)


def counted(shares: Sequence[Share]) -> Fraction:
    """The beats of a bar when every token is one beat, unless a chord states its length."""
    return sum((_beats(share) for share in shares), Fraction(0))


def beats_of(shares: list[Share], meter: Meter, pickup: bool = False) -> list[Fraction] | None:
    """The beats of each chord of a bar, None when they do not fit the meter.

    A pickup bar is as long as its tokens, one beat each.
    """
    if pickup:
        return [_beats(share) for share in shares]
    if even(shares):
        share = even_share(len(shares), meter)
        return None if share is None else [share] * len(shares)
    if counted(shares) == meter.beats:
        return [_beats(share) for share in shares]
    tokens = sum(share.tokens for share in shares)
    if all(share.length is None for share in shares) and tokens in tokens_a_bar(meter):
        return [Fraction(share.tokens * meter.beats, tokens) for share in shares]
    return None


def bracket_beats(optional: list[bool], meter: Meter) -> list[Fraction] | None:
    """The beats of chords of which some are `optional`, where a bracket shares as one chord.

    `| C6 (Dm7 G7) |`: two beats, then one each. None where there is no bracket beside other chords,
    or where the beats are no multiples of an eighth.
    """
    runs = [(within, len(list(run))) for within, run in groupby(optional)]
    parts = [size for within, size in runs for size in ([size] if within else [1] * size)]
    share = even_share(len(parts), meter)
    if share is None or not any(optional) or len(parts) == len(optional):
        return None
    beats = [share / size for size in parts for _ in range(size)]
    return beats if all((one * 8 / meter.unit).denominator == 1 for one in beats) else None


def _beats(share: Share) -> Fraction:
    if share.length is None:
        return Fraction(share.tokens)
    return share.length + share.tokens - 1


def misfit(
    texts: Sequence[str], shares: Sequence[Share], meter: Meter, position: SourcePosition
) -> Problem:
    """The problem of a bar whose beats do not fit the meter; `texts` are its chords as typed."""
    text = " ".join(texts)
    if even(shares):
        label = "too-many-chords" if len(shares) > meter.beats else "uneven-share"
        return mistake(
            label, position, text, _slashed(texts, meter),
            count=len(shares), beats=meter.beats, meter=meter,
        )  # fmt: skip
    expected = " or ".join(str(count) for count in tokens_a_bar(meter))
    fits = f"{expected}, counting every chord and slash"
    return mistake("beat-count", position, text, count=counted(shares), meter=meter, beats=fits)


def _slashed(texts: Sequence[str], meter: Meter) -> str:
    """The chords with slashes after the first ones, so that they fill the bar."""
    spare = meter.beats - len(texts)
    if spare < 1 or len(texts) > 8:
        return ""
    each, more = divmod(spare, len(texts))
    return " ".join(text + " /" * (each + (1 if at < more else 0)) for at, text in enumerate(texts))
