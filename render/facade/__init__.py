"""Midneck turns a tune's chord changes into a comping chart for jazz guitar.

    >>> import midneck
    >>> chart = midneck.chart("Key: C\\n\\n| Dm7 | G7 | Cmaj7 | % |\\n", player="small-hand")
    >>> str(chart.key), [area.kind for area in chart.areas]
    ('C major', ['ii-V-I'])

`chart` reads a tune, analyses it and plans the hand; `Chart.save` writes it. `read` gives the sheet
alone, `drill` a practice sheet, `lesson` both with playback, `book` binds many charts. Names are
imported at their first use.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from .render import lazy_names as _lazy_names
from .render.version import __version__

if TYPE_CHECKING:
    from .converter.hand.plan import PlanError
    from .grammar.errors import MidneckError, SheetError
    from .render.books import Book, book
    from .render.charts import Chart, chart
    from .render.drills import Drill, drill
    from .render.lessons import Lesson, lesson
    from .render.sources import read

__all__ = [
    "Book",
    "Chart",
    "Drill",
    "Lesson",
    "MidneckError",
    "PlanError",
    "SheetError",
    "__version__",
    "book",
    "chart",
    "drill",
    "lesson",
    "read",
]

#: The modules that hold the public names.
_MODULES: Final = {
    "Book": "render.books",
    "Chart": "render.charts",
    "Drill": "render.drills",
    "Lesson": "render.lessons",
    "MidneckError": "grammar.errors",
    "PlanError": "converter.hand.plan",
    "SheetError": "grammar.errors",
    "book": "render.books",
    "chart": "render.charts",
    "drill": "render.drills",
    "lesson": "render.lessons",
    "read": "render.sources",
}


__getattr__ = _lazy_names(__name__, _MODULES)


def __dir__() -> list[str]:
    """The public names, those not imported yet included."""
    return sorted({*globals(), *__all__})
