"""The played order of a sheet: its repeats and jumps played, its `%` signs resolved.

Takes a `Sheet`, gives its `Form`; `unfold_bars` takes bars and sections before they are a sheet and
gives the problems too. Bars and chords are indices into `Sheet.bars` and `Sheet.chords`.

Conventions for jumps are those of `walk`. What goes round is in `Form.chorus`, what is played once
in `opening` and `ending` (see `rounds`).

Conventions for `%` and `%%` (common practice, no source): the bar before the first bar of a second
or later ending is the last bar before the endings. A sign with nothing written before it (right
after a recalled section), after a pickup, or across a change of meter is refused.

N.C. and rests are left out of `Form.successions`, because the hand moves on while nothing sounds; a
sheet of silence alone has none. Time and memory are linear in the number of bars and chords
played, which are limited (`limits.py`): before recalled sections are put in their places, and while
repeats are played.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import accumulate, pairwise

from ..errors import InvalidValueError, Problem, SheetError
from ..frozen import frozen
from ..limits import MAX_BEATS, MAX_CHORDS, MAX_PLAYED
from ..mistakes import mistake
from ..sheet import Bar, Section, Sheet
from .repeats import WrittenForm, find_repeats, section_bars
from .rounds import chorus_bounds, ending_step, opening_steps
from .walk import Walk, never_played


@frozen
class Form:
    """A tune as it is played with one chorus.

    `bars`: the written bars in played order (a multi-bar rest counts once). `sounding`: for each
    *written* bar the index of the bar whose chords sound in it (its own, or the one that a `%`
    repeats). `chords`: the written chords in played order, N.C. included; a `%` bar plays its
    chords again. `successions`: which playing follows which, as pairs of indices into the playings
    that sound (`chords` without N.C.); the way from the end of the chorus back to its start is one
    of them. `first`, `stop`: the part of `bars` that goes round.
    """

    bars: tuple[int, ...]
    sounding: tuple[int, ...]
    chords: tuple[int, ...]
    successions: tuple[tuple[int, int], ...]
    first: int
    stop: int

    @property
    def opening(self) -> tuple[int, ...]:
        """The bars that are played once before the first chorus: an intro."""
        return self.bars[: self.first]

    @property
    def chorus(self) -> tuple[int, ...]:
        """The bars that go round."""
        return self.bars[self.first : self.stop]

    @property
    def ending(self) -> tuple[int, ...]:
        """The bars that are played once after the last chorus: a coda, a tag."""
        return self.bars[self.stop :]


@frozen
class UnfoldedBars:
    """Bars in played order, what sounds in them, and the problems by position.

    `written`: the form before repeats and jumps are played. `played`: the bars in played order,
    complete where there are no problems. `sounding`, `first`, `stop`: as in `Form`.
    """

    written: WrittenForm
    played: tuple[int, ...]
    sounding: tuple[int, ...]
    problems: tuple[Problem, ...]
    first: int = 0
    stop: int = 0


def unfold(sheet: Sheet) -> Form:
    """The form of a sheet, played once through. Raises SheetError when it cannot be played."""
    unfolded = unfold_bars(sheet.bars, sheet.sections)
    if unfolded.problems:
        raise SheetError(unfolded.problems)
    sounding, first, stop = unfolded.sounding, unfolded.first, unfolded.stop
    in_bars = [sheet.chords_of(sounding[bar]) for bar in unfolded.played]
    chords = tuple(chord for in_bar in in_bars for chord in in_bar)
    written = sheet.chords
    playings = [index for index in chords if written[index].chord is not None]
    counts = [sum(written[chord].chord is not None for chord in in_bar) for in_bar in in_bars]
    optional = [written[index].optional for index in playings]
    successions = _successions(optional, sum(counts[:first]), sum(counts[:stop]))
    return Form(unfolded.played, sounding, chords, successions, first, stop)


def _successions(optional: Sequence[bool], first: int, stop: int) -> tuple[tuple[int, int], ...]:
    """The pairs of playings that follow each other; the chorus goes from `first` to before `stop`.

    The way into an ending leaves out the optional chords at the end of the chorus. Where nothing
    sounds in the chorus, the last playing of all goes on to the first.
    """
    count = len(optional)
    if first == stop:
        first, stop = 0, count
    pairs = [(at, at + 1) for at in range(count - 1) if at + 1 != stop]
    if first < stop:
        pairs.append((stop - 1, first))
    last = stop - 1
    while last > first and optional[last]:
        last -= 1
    if stop < count:
        pairs.append((last, stop))
    return tuple(sorted(pairs))


def unfold_bars(bars: Sequence[Bar], sections: Sequence[Section]) -> UnfoldedBars:
    """The played order of bars, or everything that is wrong with their form.

    Repeats, endings, signs, jumps and similes are checked; what is never played is a problem too.
    """
    _check_sections(bars, sections)
    problems = _check_size(bars, sections) or _check_recalls(bars, sections)
    if problems:
        return UnfoldedBars(WrittenForm((), (), ()), (), (), tuple(problems))
    written = find_repeats(bars, sections)
    sounding, problems = _resolve_similes(bars, sections)
    problems += [*written.problems, *_check_signs(bars), *_check_jumps(bars, written)]
    opening = opening_steps(bars, sections, written)
    walk = Walk(bars, written, [len(bars[at].chords) for at in sounding], opening)
    first = stop = 0
    if not problems:
        walk.run()
        problems = walk.problems or never_played(bars, written, set(walk.played))
        ending = ending_step(bars, sections, written)
        first, stop = chorus_bounds(written, sections, walk.played, walk.way, (opening, ending))
    return UnfoldedBars(
        written,
        tuple(written.steps[at].bar for at in walk.played),
        tuple(sounding),
        tuple(sorted(problems, key=lambda problem: problem.position)),
        first,
        stop,
    )


def sounding_bars(sheet: Sheet) -> tuple[int, ...]:
    """For each written bar the index of the bar whose chords sound in it."""
    return tuple(_resolve_similes(sheet.bars, sheet.sections)[0])


def _resolve_similes(
    bars: Sequence[Bar], sections: Sequence[Section]
) -> tuple[list[int], list[Problem]]:
    """For each bar the index of the bar whose chords sound in it, and the problems of `%` signs.

    A bar whose sign is refused sounds itself.
    """
    before = _bars_before(bars, sections)
    sounding: list[int] = []
    problems: list[Problem] = []
    for at, bar in enumerate(bars):
        source = before[at]
        if bar.simile == 2 and source is not None:
            source = before[source]
        if not bar.simile:
            sounding.append(at)
        elif source is None or bars[source].pickup:
            sounding.append(at)
            problems.append(mistake("simile-nothing", bar.position, "%" * bar.simile))
        elif bars[source].meter != bar.meter:
            sounding.append(at)
            problems.append(
                mistake(
                    "simile-meter", bar.position, "%" * bar.simile,
                    other=bars[source].meter, meter=bar.meter,
                )
            )  # fmt: skip
        else:
            sounding.append(sounding[source])
    return sounding, problems


def _bars_before(bars: Sequence[Bar], sections: Sequence[Section]) -> list[int | None]:
    """For each bar the bar that is played before it the first time, None where none is written."""
    cut = {section.first for earlier, section in pairwise(sections) if earlier.recalls is not None}
    before: list[int | None] = []
    endings_from: int | None = None
    for at, bar in enumerate(bars):
        previous = None if at == 0 or at in cut else at - 1
        if bar.repeat_open:
            endings_from = None
        if bar.endings:
            if endings_from is not None and bars[at - 1].repeat_close:
                previous = before[endings_from]
            else:
                endings_from = at
        before.append(previous)
    return before


def _check_sections(bars: Sequence[Bar], sections: Sequence[Section]) -> None:
    """Check that sections divide the bars and recall written ones before them.

    Raises InvalidValueError.
    """
    for index, section in enumerate(sections):
        recalled = section.recalls
        if recalled is None:
            continue
        if not 0 <= recalled < index or sections[recalled].recalls is not None:
            raise InvalidValueError(
                f"section {index} recalls section {recalled}, which is not written before it"
            )
    counted = sum(section.count for section in sections if section.recalls is None)
    if counted != len(bars):
        raise InvalidValueError(f"the sections hold {counted} bars, the sheet {len(bars)}")


def _check_size(bars: Sequence[Bar], sections: Sequence[Section]) -> list[Problem]:
    """The first section with which the form before repeats and jumps is longer than a form may be.

    Nothing is expanded yet; each bar of a multi-bar rest counts.
    """
    lengths = [0, *accumulate(bar.bar_count for bar in bars)]
    chords = [0, *accumulate(len(bar.chords) for bar in bars)]
    played: dict[int, range] = {}
    beats = [0, *accumulate(bar.meter.beats * bar.bar_count for bar in bars)]
    bars_left, chords_left, beats_left = MAX_PLAYED, MAX_CHORDS, MAX_BEATS
    for index, section in enumerate(sections):
        known = index if section.recalls is None else section.recalls
        if known not in played or section.recalls is None:
            played[known] = section_bars(sections, index)
        within = played[known]
        bars_left -= lengths[within.stop] - lengths[within.start]
        chords_left -= chords[within.stop] - chords[within.start]
        beats_left -= beats[within.stop] - beats[within.start]
        if bars_left < 0:
            return [mistake("too-long", section.position, section.label, most=MAX_PLAYED)]
        if chords_left < 0:
            return [mistake("played-chords", section.position, section.label, most=MAX_CHORDS)]
        if beats_left < 0:
            return [mistake("played-beats", section.position, section.label, most=MAX_BEATS)]
    return []


def _check_recalls(bars: Sequence[Bar], sections: Sequence[Section]) -> list[Problem]:
    problems: list[Problem] = []
    for index, section in enumerate(sections):
        if section.recalls is None:
            continue
        recalled = [bars[at] for at in section_bars(sections, index)]
        if any(bar.jump is not None for bar in recalled):
            problems.append(mistake("recall-jump", section.position, section.label))
        if not _whole_repeats(recalled):
            problems.append(mistake("recall-broken-repeat", section.position, section.label))
    return problems


def _whole_repeats(bars: Sequence[Bar]) -> bool:
    """Whether every repeat that these bars touch begins and ends among them."""
    opened = with_endings = False
    for bar in bars:
        if bar.repeat_open:
            opened, with_endings = True, False
        if bar.endings:
            with_endings = True
        if (bar.repeat_close or bar.endings) and not opened:
            return False
        if bar.repeat_close and not with_endings:
            opened = False
    return not opened or with_endings


def _check_signs(bars: Sequence[Bar]) -> list[Problem]:
    problems: list[Problem] = []
    for sign in ("segno", "coda"):
        for bar in [bar for bar in bars if getattr(bar, sign)][1:]:
            name = sign.capitalize()
            problems.append(mistake("sign-twice", bar.position, sign=name))
    jumps = [bar.jump for bar in bars if bar.jump is not None]
    has = Counter(
        name for bar in bars for name in ("segno", "coda", "to_coda", "fine") if getattr(bar, name)
    )
    codas = [at for at, bar in enumerate(bars) if bar.coda]
    to_coda_is_named = any(jump.until == "coda" for jump in jumps)
    for at, bar in enumerate(bars):
        if bar.to_coda and not has["coda"] and not to_coda_is_named:
            problems.append(mistake("coda-missing", bar.position, "To Coda"))
        elif bar.to_coda and not jumps and codas and codas[0] <= at:
            problems.append(mistake("to-coda-idle", bar.position, "To Coda"))
        if bar.jump is None:
            continue
        text = str(bar.jump)
        if bar.jump.to == "segno" and not has["segno"]:
            problems.append(mistake("segno-missing", bar.position, text))
        if bar.jump.until == "fine" and not has["fine"]:
            problems.append(mistake("fine-missing", bar.position, text))
        if bar.jump.until == "coda" and not has["coda"]:
            problems.append(mistake("coda-missing", bar.position, text))
        elif bar.jump.until == "coda" and not has["to_coda"]:
            problems.append(mistake("to-coda-missing", bar.position, text))
    return problems


def _check_jumps(bars: Sequence[Bar], written: WrittenForm) -> list[Problem]:
    """The jumps inside a repeat, which would leave it before its last pass."""
    problems: list[Problem] = []
    for repeat in written.repeats:
        last = repeat.endings[-1].first if repeat.endings else repeat.stop - 1
        for step in written.steps[repeat.start : last]:
            jump = bars[step.bar].jump
            if jump is not None and not step.recalled:
                position = bars[step.bar].position
                problems.append(mistake("jump-in-repeat", position, str(jump)))
    return problems
