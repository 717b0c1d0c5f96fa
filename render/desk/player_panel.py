"""The player: hear the tune with guitar, bass and click on tracks of their own.

`static/player.js` plays and shows it; here are its controls and its addresses. Every tab has a
schedule of its own text at `/schedule/TAB`, with the tempo in its query; the sounds at
`/sound/NAME.wav` are those of `render.sound`, the same for every tune.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Mapping
from dataclasses import asdict
from typing import Final

from nicegui import app, ui
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response

from ...converter.chart import CompingChart
from ...converter.practice.performance import PARTS
from ...grammar.errors import MidneckError
from ...grammar.sheet import TEMPOS, Sheet
from ..sound.schedule import SoundError, note_wav, schedule
from .playback import PLAYBACK
from .session import Session

#: The player asks for its schedule anew when typing has paused so long, in seconds: while it plays,
#: so that one hears what one types, and while it is silent, when nothing needs the schedule yet.
PLAYING_PAUSE_S: Final = 0.4
SILENT_PAUSE_S: Final = 1.5
#: How long a browser keeps a sound, in seconds.
KEPT_S: Final = 86_400


def controls() -> str:
    """The player's controls as HTML, without anything of a tune."""
    low, high = TEMPOS
    tracks = "".join(
        f'<div class="track"><label><input type="checkbox" checked data-player="on-{part}">'
        f'{part}</label><input type="range" min="0" max="100" value="100" '
        f'data-player="level-{part}" aria-label="Level of the {part}"></div>'
        for part in PARTS
    )
    return (
        '<button type="button" class="play" data-player="play" aria-label="Play"></button>'
        '<div class="place"><strong data-player="place">bar 1</strong>'
        '<span class="quiet" data-player="beats"></span></div>'
        '<div class="strip" data-player="strip" aria-hidden="true">'
        '<div class="region" data-player="region" hidden></div>'
        '<div class="needle" data-player="needle"></div></div>'
        '<button type="button" class="fold" aria-expanded="false">'
        'More <span class="unseen">controls: tempo, loop, levels</span></button>'
        '<div class="folded"><div class="fields">'
        f'<label>tempo <input type="number" min="{low}" max="{high}" data-player="tempo"></label>'
        '<label>loop <select data-player="loop" aria-label="loop"></select></label>'
        '<label>from bar <input type="number" min="0" data-player="first" '
        'aria-label="loop from bar"></label>'
        '<label>to <input type="number" min="0" data-player="last"></label>'
        '<label>each time faster by <input type="number" min="0" max="50" '
        'data-player="step"></label>'
        f'<label>up to <input type="number" min="{low}" max="{high}" data-player="goal"></label>'
        '<label><input type="checkbox" checked data-player="count">count in</label></div>'
        f'<div class="tracks">{tracks}</div></div>'
        '<div class="said" data-player="said" role="status"></div>'
    )


def player_panel(session: Session) -> None:
    """The player of the open tune."""
    client = ui.context.client
    _TABS[client.id] = session
    client.on_delete(lambda: _TABS.pop(client.id, None))
    client.on_delete(lambda: PLAYBACK.stop(client.id))
    ui.on("desk_playing", lambda event: PLAYBACK.begin(session.desk.name, client.id, event.args))
    with ui.element("section").classes("player").props('aria-label="Player"'):
        ui.html(controls(), sanitize=False).classes("player-controls")
    addresses = {"schedule": f"/schedule/{client.id}", "sounds": "/sound", "tools": True}
    paused = _Pause()

    def call(function: str) -> None:
        client.run_javascript(f"import('/static/player.js').then((player) => player.{function})")

    async def follow() -> None:
        plays = PLAYBACK.plays(client.id)
        if await paused.over(PLAYING_PAUSE_S if plays else SILENT_PAUSE_S):
            call("changed(false)")

    def start() -> None:
        call(f"attach('.player', {json.dumps(addresses)})")

    started, other = False, True

    def take_other() -> None:
        nonlocal other
        other = True

    def show_work() -> None:
        nonlocal started, other
        if not session.desk.work.good and not (started and other):
            return
        if not started:
            # The player asks for its first schedule by itself.
            start()
        elif other:
            call("changed(true)")
        else:
            asyncio.get_running_loop().create_task(follow())
        started, other = True, False

    session.listen("tune", take_other)
    session.listen("work", show_work)


class _Pause:
    """Tells the last of many calls apart."""

    def __init__(self) -> None:
        self.turn = 0

    async def over(self, seconds: float) -> bool:
        """Whether nothing came for so long."""
        self.turn += 1
        turn = self.turn
        await asyncio.sleep(seconds)
        return turn == self.turn


#: The sessions of the open tabs by the tab's unguessable name.
_TABS: Final[dict[str, Session]] = {}


def add_sound() -> None:
    """Register the addresses of sounds and schedules."""
    app.add_api_route("/sound/{name}.wav", sound_answer)
    app.add_api_route("/schedule/{tab}", tab_schedule)


def sound_answer(name: str) -> Response:
    """A sound as a WAV file."""
    try:
        data = note_wav(name)
    except SoundError as error:
        return PlainTextResponse(f"{error}\n", 404)
    headers = {"cache-control": f"max-age={KEPT_S}"}
    return Response(data, media_type="audio/wav", headers=headers)


def tab_schedule(tab: str, request: Request) -> Response:
    """The schedule of the last good text of a tab."""
    session = _TABS.get(tab)
    chart = None if session is None else session.desk.shown.chart
    return schedule_answer(chart, request.query_params)


def schedule_answer(chart: CompingChart | None, query: Mapping[str, str]) -> Response:
    """The schedule of a chart at the tempo of a query, as JSON."""
    if chart is None:
        return PlainTextResponse("There is no tune to play.\n", 404)
    tempo = query.get("tempo", "")
    wanted = int(tempo) if tempo.isascii() and tempo.isdecimal() and len(tempo) <= 4 else None
    try:
        made = schedule(chart, wanted)
    except MidneckError as error:
        return PlainTextResponse(f"{error}\n", 422)
    sections = section_bars(chart.sheet)
    return JSONResponse({**asdict(made), "sounds": made.sounds, "sections": sections})


def section_bars(sheet: Sheet) -> list[tuple[str, int, int]]:
    """The sections that are written out, each with its label and the numbers of its bars."""
    bars = sheet.bars
    return [
        (each.label, bars[each.first].number, bars[each.first + each.count - 1].last_number)
        for each in sheet.sections
        if each.recalls is None and each.count
    ]
