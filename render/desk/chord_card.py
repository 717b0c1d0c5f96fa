"""A chord's card: what it is and does, why the hand is where it is, and other grips for it.

Choosing a grip writes it into the text as a pin, and the rest is planned around it; letting go
removes the pin. The text is the one truth, so that undo works as for typing. Grips are heard when
they are pointed at or focused (`static/grips.js`), unless that is switched off.
"""

from __future__ import annotations

import asyncio
from html import escape

from nicegui import ui

from ...converter.alternatives import Alternative, offered
from ...converter.chart import CompingChart
from ...converter.hand.grip import Grip, frets_text
from ...converter.hand.plan import PlanError
from ...converter.prose.hand import offer_text
from ..page.drawing.style import Symbols
from ..page.layout import grid_picture
from ..page.write.svg import write_svg
from ..sound.schedule import grip_sounds
from .chord_facts import chord_facts, why_lines
from .session import Session
from .text_places import with_pin

#: How many other grips of the chart's own style a card offers at most.
OFFERED = 4


def chord_card(session: Session) -> None:
    """The card of the chosen chord, beside the page; Escape closes it."""
    _ChordCard(session)


class _ChordCard:
    """The elements of the card and what they do."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.client = ui.context.client
        self.hears = True
        self.shown: int | None = None
        self.due = False
        self.card = ui.element("section").classes("card hears")
        self.card.props('aria-label="Chord" role="dialog" tabindex="-1"')
        self.card.set_visibility(False)
        session.listen("chord", self.show_soon)
        session.listen("work", self.show_soon)
        session.listen("tune", lambda: session.choose_chord(None))
        ui.keyboard(
            on_key=lambda event: (
                session.choose_chord(None)
                if event.key == "Escape" and event.action.keydown and session.desk.chord is not None
                else None
            ),
            ignore=[],
        )

    async def take(self, grip: Grip | None) -> None:
        """Write a grip behind the chord, or remove the one that is there."""
        desk = self.session.desk
        index, sheet = desk.chord, desk.shown.sheet
        if index is None or sheet is None:
            return
        if not desk.work.good:
            ui.notify("The text has mistakes: mend them first.", type="negative")
            return
        written = sheet.chords[index]
        self.session.rewrite(with_pin(desk.text, written.position, written.text, grip))
        await self.session.work()

    def show_soon(self) -> None:
        """Show the card as soon as its turn comes, once for all that changes until then."""
        if not self.due:
            self.due = True
            asyncio.get_running_loop().create_task(self.show())

    async def show(self) -> None:
        """What is known at once, then the other grips and the reasons."""
        self.due = False
        index, chart = self.session.desk.chord, self.session.desk.shown.chart
        there = chart is not None and index is not None and index < len(chart.sheet.chords)
        if not there and self.shown is None:
            return
        self.card.clear()
        self.card.set_visibility(there)
        if chart is None or index is None or not there:
            self.call(f"closed({self.shown})")
            self.shown = None
            return
        self.shown = index
        with self.card:
            self.facts(chart, index)
        self.call("shown()")
        others, why = await asyncio.to_thread(_others_and_why, chart, index)
        if self.session.desk.chord != index or self.session.desk.shown.chart is not chart:
            return
        with self.card:
            self.grips(chart, index, others)
            if why:
                with ui.element("h3"):
                    ui.label("Why the hand is here")
                for line in why:
                    ui.label(line).classes("why")

    def facts(self, chart: CompingChart, index: int) -> None:
        """What the chord is and does."""
        facts = chord_facts(chart, index)
        with ui.element("div").classes("card-head"):
            with ui.element("h2"):
                ui.label(facts.symbol)
            close = ui.button(icon="close", on_click=lambda: self.session.choose_chord(None))
            close.props('flat dense aria-label="Close"')
        ui.label(" · ".join(filter(None, (facts.place, facts.numeral)))).classes("quiet")
        if facts.notes:
            notes = "".join(
                f"<li><b>{escape(name)}</b> {escape(degree)}</li>" for name, degree in facts.notes
            )
            ui.html(f'<ul class="notes" aria-label="Notes">{notes}</ul>', sanitize=False)
        for sentence in facts.does:
            ui.label(sentence).classes("does")

    def grips(self, chart: CompingChart, index: int, others: tuple[Alternative, ...]) -> None:
        """The grip of the chord, and others with what they cost."""
        grip, chord = chart.plan.grips[index], chart.sheet.chords[index].chord
        if grip is None or chord is None:
            ui.label("Silence: the hand rests.")
            return
        mirrored = chart.player.hand == "left"
        symbols = self.session.desk.choices.page_style().symbols
        with ui.element("div").classes("card-grips"):
            with ui.element("h3"):
                ui.label("Grips")
            hears = ui.checkbox("hear when pointed at", value=self.hears).props("dense")
            hears.on_value_change(lambda event: self.hear_when_pointed(bool(event.value)))
        pinned = self.session.desk.shown.sheet is not None and (
            self.session.desk.shown.sheet.chords[index].pin is not None
        )
        said = "fixed by you" if pinned else "the least for the whole tune"
        with self.grip_row(_picture(chart, index, grip, (mirrored, symbols)), grip) as row:
            row.classes("taken")
            with ui.element("div"):
                ui.html(f"<strong>{frets_text(grip.frets)}</strong>", sanitize=True)
                ui.label(said).classes("quiet")
                ui.label(chord_facts(chart, index).fingers).classes("quiet")
                if pinned:
                    let_go = ui.button("Let go: plan it again", on_click=lambda: self.take(None))
                    let_go.props("flat no-caps dense")
        for other in others:
            picture = _picture(chart, index, other.grip, (mirrored, symbols))
            with self.grip_row(picture, other.grip), ui.element("div"):
                ui.html(f"<strong>{frets_text(other.grip.frets)}</strong>", sanitize=True)
                ui.label(offer_text(chart, other)).classes("quiet")
                use = ui.button("Use it", on_click=lambda _, grip=other.grip: self.take(grip))
                use.props("flat no-caps dense")
                use.props["aria-label"] = f"Use {frets_text(other.grip.frets)}"

    def grip_row(self, picture: str, grip: Grip) -> ui.element:
        """The row of a grip with its picture, which is a button that lets it be heard."""
        row = ui.element("div").classes("grip")
        row.props["data-sounds"] = " ".join(grip_sounds(grip))
        with row:
            button = ui.element("button").classes("hear-grip").props('type="button"')
            button.props["aria-label"] = f"Hear {frets_text(grip.frets)}"
            with button:
                ui.html(picture, sanitize=False).classes("grip-picture")
        return row

    def hear_when_pointed(self, hears: bool) -> None:
        """Let grips be heard when they are pointed at, or only when they are clicked."""
        self.hears = hears
        self.card.classes(add="hears" if hears else "", remove="" if hears else "hears")

    def call(self, function: str) -> None:
        """Call a function of the card's script."""
        self.client.run_javascript(f"import('/static/grips.js').then((grips) => grips.{function})")


def _picture(chart: CompingChart, index: int, grip: Grip, drawn: tuple[bool, Symbols]) -> str:
    """A grip as an SVG; `drawn` tells whether mirrored, and how qualities are written."""
    chord = chart.sheet.chords[index].chord
    assert chord is not None
    return write_svg(grid_picture(chord, grip, *drawn), 0, fonts=False)


def _others_and_why(
    chart: CompingChart, index: int
) -> tuple[tuple[Alternative, ...], tuple[str, ...]]:
    """Other grips for a chord, and the reasons; none where it is silent or the form too tangled."""
    if chart.plan.grips[index] is None:
        return (), ()
    try:
        return offered(chart, [index], OFFERED)[0], why_lines(chart, index)
    except PlanError:
        return (), ()
