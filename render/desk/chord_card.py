"""A chord's card: what it is and does, why the hand is where it is, and other grips for it.

Choosing a grip writes it into the text as a pin, and the rest is planned around it; letting go
removes the pin. The text is the one truth, so that undo works as for typing.
"""

from __future__ import annotations

import asyncio

from nicegui import ui

from ...converter.chart import CompingChart
from ...converter.hand.alternatives import Alternative, alternatives
from ...converter.hand.grip import Grip, frets_text, sounding_pitch
from ...converter.hand.plan import PlanError
from ...converter.prose.chart import chord_alternative
from ...converter.prose.hand import more_text
from ..page.drawing.signs import with_signs
from ..page.layout import grid_picture
from ..page.write.svg import write_svg
from .pins import with_pin
from .session import Session

#: How many other grips a card offers.
OFFERED = 4


def chord_card(session: Session) -> None:
    """The card of the chosen chord, beside the page; Escape closes it."""
    card = ui.element("aside").classes("card").props('aria-label="Chord" role="dialog"')
    card.set_visibility(False)

    async def take(grip: Grip | None) -> None:
        index, sheet = session.desk.chord, session.desk.shown.sheet
        if index is None or sheet is None or not session.desk.work.good:
            return
        written = sheet.chords[index]
        session.rewrite(with_pin(session.desk.text, written.position, written.text, grip))
        await session.work()

    async def show() -> None:
        index, chart = session.desk.chord, session.desk.shown.chart
        card.clear()
        card.set_visibility(index is not None and chart is not None)
        if index is None or chart is None or index >= len(chart.sheet.chords):
            return
        _facts(chart, index)
        others = await asyncio.to_thread(_others, chart, index)
        if session.desk.chord != index or session.desk.shown.chart is not chart:
            return
        with card:
            _grips(session, chart, index, others)

    def _facts(chart: CompingChart, index: int) -> None:
        written, grip = chart.sheet.chords[index], chart.plan.grips[index]
        with card:
            with ui.element("div").classes("card-head"):
                ui.html(f"<h2>{with_signs(written.symbol)}</h2>", sanitize=True)
                ui.button(icon="close", on_click=lambda: session.choose_chord(None)).props(
                    'flat dense aria-label="Close"'
                )
            ui.label(with_signs(chord_alternative(chart, index, written))).classes("quiet")
            if written.chord is not None and grip is not None:
                notes = [sounding_pitch(note, written.chord)[0] for note in grip.voicing.notes]
                ui.label("Notes: " + with_signs(" ".join(map(str, notes))))

    def _grips(
        session: Session, chart: CompingChart, index: int, others: tuple[Alternative, ...]
    ) -> None:
        grip, chord = chart.plan.grips[index], chart.sheet.chords[index].chord
        if grip is None or chord is None:
            ui.label("Silence: the hand rests.")
            return
        mirrored = chart.player.hand == "left"
        symbols = session.desk.choices.page_style().symbols
        pinned = session.desk.shown.sheet is not None and (
            session.desk.shown.sheet.chords[index].pin is not None
        )
        said = "fixed by you" if pinned else "the least for the whole tune"
        _grip_row(
            write_svg(grid_picture(chord, grip, mirrored, symbols), 0, fonts=False), grip, said
        )
        if pinned:
            ui.button("Let go: plan it again", on_click=lambda: take(None)).props("flat no-caps")
        for other in others:
            picture = write_svg(grid_picture(chord, other.grip, mirrored, symbols), 0, fonts=False)
            row = _grip_row(picture, other.grip, more_text(chart, other))
            with row:
                ui.button("Use this grip", on_click=lambda _, grip=other.grip: take(grip)).props(
                    f'flat no-caps aria-label="Use {frets_text(other.grip.frets)}"'
                )

    def shown_again() -> None:
        asyncio.get_running_loop().create_task(show())

    session.listen("chord", shown_again)
    session.listen("work", shown_again)
    session.listen("tune", lambda: session.choose_chord(None))
    ui.keyboard(
        on_key=lambda event: (
            session.choose_chord(None)
            if event.key == "Escape" and event.action.keydown and session.desk.chord is not None
            else None
        ),
        ignore=[],
    )


def _others(chart: CompingChart, index: int) -> tuple[Alternative, ...]:
    """Other grips for a chord, none where it is silent or the form is too tangled."""
    if chart.plan.grips[index] is None:
        return ()
    try:
        return alternatives(chart, [index], OFFERED)[0]
    except PlanError:
        return ()


def _grip_row(picture: str, grip: Grip, said: str) -> ui.element:
    """A grip's picture, its frets and what is said of it."""
    with ui.element("div").classes("grip") as row:
        ui.html(picture, sanitize=False).classes("grip-picture")
        with ui.element("div"):
            ui.html(f"<strong>{frets_text(grip.frets)}</strong>", sanitize=True)
            ui.label(said).classes("quiet")
    return row
