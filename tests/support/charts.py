"""Charts for tests, made by the whole way from text to plan."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from hypothesis import assume
from midneck.converter.chart import CompingChart
from midneck.converter.hand.plan import PlanError
from midneck.converter.hand.player import Player
from midneck.converter.make import make_chart
from midneck.converter.prose.chart import chord_alternative
from midneck.grammar.text.reader import read_sheet
from midneck.render.page import PageStyle
from midneck.render.page.body import Body, set_body
from midneck.render.page.head_foot import needs_caution
from midneck.render.page.layout import frames_of

from support.tunes import tune_text

EXAMPLES = Path(__file__).parents[2] / "examples"

#: One tune with all that a chart can show: pickup, endings, D.S. al Coda, changes of meter, crowded
#: bars, long symbols, similes, silence, names too long for the gutter.
FERRYMAN = """Title: The Ferryman's Long Way Round the Estuary at Low Water
By: Ottoline Brackwater-Hume
Key: Bb
Time: 4/4
Tempo: 180
Feel: even eighths, driving

Intro:
| F7 (pickup) |
| Bb6 Gm7 | Cm7 F7 | Dm7b5 G7b9 | Cm7 F7 ||

A:
|: Segno Bbmaj7 | Gm7b5 C7b9 | Fm9 Bb13 | Ebmaj9 Abmaj7 |
| Dm7 G7b9 | C#m7b5/G# F#7/A# |1. Cm7 F7 | Dm7 G7 Cm7 F7 :|2. Cm7 F7 | Bb6 To Coda ||

Time: 5/4
B:
| Cm7b5 F7b9 Bbm9 Eb7sus Abmaj9 | Dbmaj9/Ab | % | Gm7b5 C7b9 F#m7b5/C# B7/D# / |

Time: 4/4
C:
| Cm7 | F7 | Bb6 | % D.S. al Coda ||

Coda:
| Coda Cm7 F7 | Bb6 | %% | N.C. | Bb6 ||
"""

#: Thirty-two bars, written out: AABA, one or two chords to a bar.
LANTERNS = """Title: Lanterns Going Down
By: Piet Aldermoor
Key: F
Time: 4/4
Tempo: 126
Feel: swing

A:
| Gm7 | C7 | F6 | D7b9 | Gm7 | C7 | F6 D7 | Gm7 C7 ||
A:
| Gm7 | C7 | F6 | D7b9 | Gm7 | C7 | F6 D7 | Gm7 C7 ||
B:
| Cm7 | F7 | Bb6 | % | Dbm7 Gb7 | Bb6 | Gm7b5 | C7 ||
A:
| Gm7 | C7 | F6 | D7b9 | Gm7 | C7 | F6 D7 | Gm7 C7 ||
"""


@lru_cache(maxsize=64)
def chart_of(text: str, player: Player | None = None) -> CompingChart:
    """The finished chart of a sheet in text."""
    return make_chart(read_sheet(text), player)


def charted(text: str) -> CompingChart:
    """The chart of an example of a property; a sheet that no hand can play is no example."""
    try:
        return make_chart(read_sheet(text))
    except PlanError:
        assume(False)
        raise


def said_of(chart: CompingChart, index: int, analysis: bool = True) -> str:
    """The words that stand for the picture of a chord."""
    return chord_alternative(chart, index, chart.sheet.chords[index], analysis)


def example_paths() -> list[Path]:
    """The sheets of the examples folder in order; never empty."""
    found = sorted(EXAMPLES.glob("*.txt"))
    if not found:
        raise AssertionError(f"no sheets in {EXAMPLES}")
    return found


def example_texts() -> dict[str, str]:
    """The texts of these sheets by name."""
    return {path.stem: path.read_text(encoding="utf-8") for path in example_paths()}


#: The tunes with names: the examples and the two above.
TUNES = {**example_texts(), "ferryman": FERRYMAN, "lanterns": LANTERNS}
#: What `chart_named` takes: these tunes, and generated ones by their seeds.
CHARTS = [*sorted(TUNES), *map(str, range(40))]


def chart_named(name: str) -> CompingChart:
    """The chart of a name of `CHARTS`."""
    return chart_of(TUNES[name] if name in TUNES else tune_text(int(name)))


def body_of(text: str, style: PageStyle) -> Body:
    """The body of a chart's pages, set as on them."""
    chart = chart_of(text)
    return set_body(chart, style, frames_of(chart, style, needs_caution(chart, style)))
