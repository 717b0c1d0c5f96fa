"""Whether the bars of a sheet make a form that can be played.

Takes the bars and sections of a sheet, whoever read them, and gives the problems in order, or the
played order. Chords are not looked at.
"""

from __future__ import annotations

from collections import Counter

from .course import walk_form
from .errors import Problem, SheetError
from .mistakes import mistake
from .passages import Passage, Step, find_passages, recalled_bars
from .sheet import Bar, Section
from .similes import check_similes


def check_structure(bars: tuple[Bar, ...], sections: tuple[Section, ...]) -> tuple[Problem, ...]:
    """Everything that is wrong with repeats, endings, signs, jumps and similes, by place."""
    return _played(bars, sections)[1]


def played_bars(bars: tuple[Bar, ...], sections: tuple[Section, ...]) -> tuple[int, ...]:
    """The indices of the bars in played order. Raises SheetError when they make no form."""
    played, problems = _played(bars, sections)
    if problems:
        raise SheetError(problems)
    return played


def _played(
    bars: tuple[Bar, ...], sections: tuple[Section, ...]
) -> tuple[tuple[int, ...], tuple[Problem, ...]]:
    problems = _check_recalls(bars, sections)
    if problems:
        return (), tuple(problems)
    steps, passages, found = find_passages(bars, sections)
    problems += check_similes(bars, sections)[1]
    problems += found
    problems += _check_signs(bars)
    problems += _check_jumps(bars, steps, passages)
    played: tuple[int, ...] = ()
    if not problems:
        played, found = walk_form(bars, steps, passages)
        problems += found
    by_place = sorted(problems, key=lambda problem: (problem.line, problem.column))
    return tuple(steps[at].bar for at in played), tuple(by_place)


def _check_recalls(bars: tuple[Bar, ...], sections: tuple[Section, ...]) -> list[Problem]:
    problems: list[Problem] = []
    for section in sections:
        if section.recalls is None:
            continue
        first, count = recalled_bars(sections, section.recalls)
        recalled = bars[first : first + count]
        if any(bar.jump is not None for bar in recalled):
            problems.append(mistake("recall-jump", section.place, section.label))
        if not _whole_repeats(recalled):
            problems.append(mistake("recall-broken-repeat", section.place, section.label))
    return problems


def _whole_repeats(bars: tuple[Bar, ...]) -> bool:
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


def _check_signs(bars: tuple[Bar, ...]) -> list[Problem]:
    problems: list[Problem] = []
    for sign in ("segno", "coda"):
        for bar in [bar for bar in bars if getattr(bar, sign)][1:]:
            name = sign.capitalize()
            problems.append(mistake("sign-twice", bar.place, sign=name))
    jumps = [bar.jump for bar in bars if bar.jump is not None]
    has = Counter(
        name for bar in bars for name in ("segno", "coda", "to_coda", "fine") if getattr(bar, name)
    )
    to_coda_is_named = any(jump.until == "coda" for jump in jumps)
    for bar in bars:
        if bar.to_coda and not has["coda"] and not to_coda_is_named:
            problems.append(mistake("coda-missing", bar.place, "To Coda"))
        elif bar.to_coda and has["coda"] and not jumps:
            problems.append(mistake("to-coda-idle", bar.place, "To Coda"))
        if bar.jump is None:
            continue
        text = str(bar.jump)
        if bar.jump.to == "segno" and not has["segno"]:
            problems.append(mistake("segno-missing", bar.place, text))
        if bar.jump.until == "fine" and not has["fine"]:
            problems.append(mistake("fine-missing", bar.place, text))
        if bar.jump.until == "coda" and not has["coda"]:
            problems.append(mistake("coda-missing", bar.place, text))
        elif bar.jump.until == "coda" and not has["to_coda"]:
            problems.append(mistake("to-coda-missing", bar.place, text))
    return problems


def _check_jumps(
    bars: tuple[Bar, ...], steps: tuple[Step, ...], passages: tuple[Passage, ...]
) -> list[Problem]:
    """A jump inside a repeat would leave it before its last pass."""
    problems: list[Problem] = []
    for passage in passages:
        last = passage.endings[-1].first if passage.endings else passage.stop - 1
        for step in steps[passage.start : last]:
            jump = bars[step.bar].jump
            if jump is not None and not step.recalled:
                place = bars[step.bar].place
                problems.append(mistake("jump-in-repeat", place, str(jump)))
    return problems
