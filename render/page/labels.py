"""A section's name in its box, the player's text, and sections that are played again."""

from __future__ import annotations

from ...grammar.sheet import Section
from .flow import ChartLine
from .fonts import BOLD, REGULAR, fitted, measure, spans
from .items import Item, Rect, Text
from .names import key_name
from .setting import Setting

#: Size of a section's name beside that of the small text, and the height of its box in ems.
LABEL, BOX = 1.15, 1.3


def needs_row(setting: Setting, line: ChartLine) -> bool:
    """Whether a section's name is too long for the gutter, or player's text stands beside it."""
    section = setting.chart.sheet.sections[line.section]
    if not line.begins:
        return False
    return bool(_words(section)) or _box_width(section.label, _size(setting)) > setting.gutter - 3


def _words(section: Section) -> str:
    """The key that a section states and its text for the player, in one row."""
    key = () if section.key is None else (key_name(section.key),)
    return " – ".join((*key, *section.text))


def _size(setting: Setting) -> float:
    return LABEL * setting.sizes.small


def _box_width(text: str, size: float) -> float:
    return measure(text, BOLD, size) + 0.7 * size if text else 0.0


def boxed(text: str, x: float, y: float, size: float) -> list[Item]:
    """A text in a box whose top left corner is (`x`, `y`)."""
    box = Rect(x, y, _box_width(text, size), BOX * size, None, 0.0, 0.8)
    return [box, Text(x + 0.35 * size, y + size, tuple(spans(text, BOLD, size)))]


def draw_label(
    setting: Setting, line: ChartLine, at: tuple[float, float], music: float
) -> list[Item]:
    """The name of a section: beside its first bar, or in a row above with the player's text."""
    section = setting.chart.sheet.sections[line.section]
    size = _size(setting)
    if not needs_row(setting, line):
        return draw_name(setting, section, at[0], music)
    x, y = at[0] + setting.gutter, at[1]
    items = boxed(section.label, x, y, size) if section.label else []
    x += _box_width(section.label, size) + (0.6 * size if section.label else 0.0)
    words = _words(section)
    if words:
        fit = fitted(words, REGULAR, setting.sizes.small, at[0] + setting.width - x)
        items.append(Text(x, y + size, tuple(spans(words, REGULAR, fit))))
    return items


def draw_name(setting: Setting, section: Section, left: float, music: float) -> list[Item]:
    """The name of a section in the gutter, beside the music that begins at `music`."""
    size = _size(setting)
    return boxed(section.label, left, music + 0.2 * size, size) if section.label else []


def draw_recall(setting: Setting, line: ChartLine, left: float, top: float) -> list[Item]:
    """A section that is played again without being written out, with its key and its text."""
    sections = setting.chart.sheet.sections
    section = sections[line.section]
    earlier = sections[section.recalls if section.recalls is not None else line.section]
    size = _size(setting)
    items = boxed(section.label, left, top, size)
    x = left + max(setting.gutter, _box_width(section.label, size) + 0.6 * size)
    same = section.label == earlier.label
    again = "again, as above" if same else f"{earlier.label} again"
    words = " – ".join(part for part in (again, _words(section)) if part)
    fit = fitted(words, REGULAR, size, left + setting.width - x)
    items.append(Text(x, top + size, tuple(spans(words, REGULAR, fit))))
    return items
