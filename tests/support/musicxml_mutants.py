"""Scores in MusicXML of random pieces: odd lengths, meters, repeats, endings, signs and texts."""

from __future__ import annotations

import random

from .musicxml_scores import attributes, barline, direction, harmony, key, score, time


def note(duration: int, rest: bool = True) -> str:
    """A note or a rest of so many divisions."""
    sound = "<rest/>" if rest else "<pitch><step>C</step><octave>4</octave></pitch>"
    return f"<note>{sound}<duration>{duration}</duration></note>"


TEXTS = (
    "Fine", "To Coda", "Coda", "D.C. al Fine", "D.S. al Coda", "softly", "“loud” ‘now’", "a|b: c",
    "Key: F", "# x", "", "N.C.", "w" * 4000, "A: again", "\u202ex\x9b", "medium swing", '"',
)  # fmt: skip
LABELS = (
    "A", "B", "Intro", "Coda", "Key", "Title", "1st ending", "x" * 80, "A|B", "[C]", "#", "%",
    "Tag 2", '"', "Time", "again", "12", "\u202e",
)  # fmt: skip
ROOTS = ("C", "F", "Bb", "F#", "Ab", "E", "Cb", "B#")
KINDS = (
    "major",
    "dominant",
    "minor-seventh",
    "half-diminished",
    "suspended-fourth",
    "none",
    "power",
)
#: One meter in ten has hundreds of beats: each of them is work for every writer.
METERS = (
    *((4, 4), (4, 4), (4, 4), (3, 4), (3, 4), (6, 8), (6, 8), (12, 8), (5, 8), (1, 1)) * 2,
    *((256, 4), (512, 64)),
)
DIVISIONS = (1, 2, 3, 4, 7, 11, 12, 13, 96, 480, 513, 960, 10080)


def odd_score(chance: random.Random) -> bytes:
    """A score of one to seven measures of random pieces."""
    divisions = chance.choice(DIVISIONS)
    meter = chance.choice(METERS)
    whole = divisions * 4 * meter[0] // meter[1]
    measures = []
    for number in range(chance.randint(1, 7)):
        first = ""
        if number == 0:
            signature = key(chance.randint(-7, 7)) + time(*meter)
            first = attributes(f"<divisions>{divisions}</divisions>{signature}")
        measures.append(first + _measure(chance, divisions, whole))
    said = {at: 'implicit="yes"' for at in range(1, 8) if chance.random() < 0.1}
    head = ""
    if chance.random() < 0.4:
        head += f"<work><work-title>{_text(chance)}</work-title></work>"
    if chance.random() < 0.3:
        name = _text(chance).replace('"', "&quot;")
        fields = f'<miscellaneous-field name="{name}">{_text(chance)}</miscellaneous-field>'
        head += f"<identification><miscellaneous>{fields}</miscellaneous></identification>"
    return score(*measures, head=head, said=said)


def _text(chance: random.Random) -> str:
    return chance.choice(TEXTS).replace("&", "&amp;").replace("<", "&lt;")


def _measure(chance: random.Random, divisions: int, whole: int) -> str:
    parts = _lines(chance, "left")
    left = chance.choice((whole, whole, whole, whole + divisions, max(1, whole // 2)))
    while left > 0:
        length = left if chance.random() < 0.4 else chance.randint(1, left)
        left -= length
        if chance.random() < 0.15:
            parts += _direction(chance)
        if chance.random() < 0.7:
            kind = chance.choice(KINDS)
            offset = f"<offset>{chance.randint(-divisions, 2 * divisions)}</offset>"
            inside = offset if chance.random() < 0.1 else ""
            parts += harmony(chance.choice(ROOTS), kind, inside)
        parts += note(length, chance.random() < 0.5)
        if chance.random() < 0.5:
            break
    if chance.random() < 0.1:
        style = chance.choice(("multiple-rest>3", "measure-repeat type='start'>1"))
        name = style.split(">")[0].split()[0]
        parts = attributes(f"<measure-style><{style}</{name}></measure-style>") + parts
    return parts + (_direction(chance) if chance.random() < 0.2 else "") + _lines(chance, "right")


def _direction(chance: random.Random) -> str:
    if chance.random() < 0.4:
        label = chance.choice(LABELS).replace("&", "&amp;").replace("<", "&lt;")
        return direction(f"<rehearsal>{label}</rehearsal>")
    sign = chance.choice(("<segno/>", "<coda/>", f"<words>{_text(chance)}</words>"))
    return direction(sign if chance.random() < 0.5 else f"<words>{_text(chance)}</words>")


def _lines(chance: random.Random, where: str) -> str:
    if chance.random() < 0.75:
        return ""
    inside = ""
    if chance.random() < 0.5:
        number = chance.choice(("1", "2", "1, 2", "3", "1-99", "100"))
        type_ = "start" if where == "left" else "stop"
        inside += f'<ending number="{number}" type="{type_}"/>'
    if chance.random() < 0.7:
        way = "forward" if where == "left" else "backward"
        inside += f'<repeat direction="{way}"/>'
    return barline(where, inside)
