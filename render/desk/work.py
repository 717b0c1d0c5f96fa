"""From the text of a tune and the choices to its mistakes, or to its chart and pages.

Pure: takes text and `Choices`, gives `Work`. Nothing here knows of a browser.
"""

from __future__ import annotations

import asyncio
from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache
from typing import Final

from ...converter.chart import CompingChart
from ...converter.make import make_chart
from ...grammar.errors import MidneckError, Problem, SheetError
from ...grammar.frozen import frozen
from ...grammar.sheet import Sheet
from ..page.layout import lay_out
from ..page.write.svg import write_svg
from ..sources import Source, load
from .choices import Choices


@frozen
class Work:
    """What a text gives: `problems` where it is wrong, else `chart` and `pages`.

    `message` says what else could not be done (no hand can play it, no such key). `pages` are SVG
    texts without fonts in them. `sheet` is the tune as written, before it is transposed.
    """

    problems: tuple[Problem, ...] = ()
    message: str = ""
    sheet: Sheet | None = None
    chart: CompingChart | None = None
    pages: tuple[str, ...] = ()

    @property
    def good(self) -> bool:
        """Whether there are pages to show."""
        return bool(self.pages)


@lru_cache(maxsize=16)
def work_out(text: str, choices: Choices, name: str = "") -> Work:
    """What a text gives with the choices; the last results are kept."""
    try:
        sheet = load(Source(text.encode("utf-8", "surrogatepass"), name))
        moved = load(sheet, choices.key_choice())
        chart = make_chart(moved, choices.chosen_player(), choices.plan_options())
        document = lay_out(chart, choices.page_style())
    except SheetError as error:
        return Work(problems=error.problems)
    except MidneckError as error:
        return Work(message=str(error))
    pages = tuple(write_svg(document, page, fonts=False) for page in range(len(document.pages)))
    return Work((), "", sheet, chart, pages)


#: Two threads work texts out, in the order in which tabs ask: threads for all tabs would share one
#: interpreter and all be late. Two, so that one very long tune does not keep the others waiting.
_WORKERS: Final = ThreadPoolExecutor(2, thread_name_prefix="work")


async def work_out_in_turn(text: str, choices: Choices, name: str = "") -> Work:
    """What a text gives with the choices, worked out in a thread when its turn comes."""
    loop = asyncio.get_running_loop()
    return await loop.run_in_executor(_WORKERS, work_out, text, choices, name)
