"""Charts, pages and performances as the bytes of files, by format.

Takes a `CompingChart`, `Document` or `Performance`, gives pairs of a name's ending and bytes: one
pair, or one for each page if a file of the format holds only one. Writers are imported when their
format is needed. `drill_export` does the same for drills.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from ..converter.chart import CompingChart
from ..converter.practice.performance import Performance
from ..converter.prose.facts import HAND_CAUTION, HEARING_CAUTION
from ..grammar.errors import MidneckError
from ..grammar.frozen import frozen
from .output import json_line
from .page.drawing.items import Document
from .page.drawing.style import USUAL_DPI, PageStyle
from .stamps import NO_FINGERPRINT, UNRECORDED, sealed, signature, stamp

if TYPE_CHECKING:
    from .sound.strings import Mix

#: Pairs of the part of a name after its stem, and bytes.
Files = list[tuple[str, bytes]]
#: The formats of a chart, by the ending of the name.
CHART_FORMATS: Final = ("pdf", "svg", "png", "txt", "musicxml")


def export_chart(
    chart: CompingChart,
    style: PageStyle,
    kind: str,
    tab: bool = False,
    fingerprint: str | None = None,
) -> Files:
    """The files of a chart in a format of `CHART_FORMATS`.

    `tab` adds tablature to MusicXML. `fingerprint` is stamped into each file, None for an input
    that is not recorded.
    """
    mark = stamp(fingerprint or NO_FINGERPRINT)
    if kind == "txt":
        from .text import text_chart

        text = text_chart(chart, style.analysis is not False, rhythm=style.rhythm)
        return [(".txt", stamped_text(text, mark))]
    if kind == "musicxml":
        from .musicxml.write import write_musicxml

        return [(".musicxml", sealed(write_musicxml(chart, tab, mark)))]
    from .page.layout import lay_out

    return export_document(lay_out(chart, style), kind, fingerprint, style.dpi)


def export_document(
    document: Document, kind: str, fingerprint: str | None = None, dpi: int | None = None
) -> Files:
    """The files of a document as pdf, svg or png, stamped with a fingerprint, None for an input
    that is not recorded.

    `dpi` is dots an inch of a png, None for the usual.
    """
    count = 1 if kind == "pdf" else len(document.pages)
    files: Files = []
    for number in range(1, count + 1):
        stamped = replace(document, stamp=stamp(fingerprint or NO_FINGERPRINT, number, count))
        ending = f"-{number}.{kind}" if count > 1 else f".{kind}"
        files.append((ending, sealed(_page_bytes(stamped, kind, number - 1, dpi))))
    return files


def stamped_json(data: dict[str, Any]) -> bytes:
    """The bytes of a line of JSON with its stamp as the last member."""
    return sealed(json_line(data | {"stamp": UNRECORDED}).encode())


def stamped_text(text: str, stamp: str = UNRECORDED) -> bytes:
    """The bytes of a text with its stamp on a line below."""
    return sealed(f"{text}{stamp}\n".encode())


def _page_bytes(document: Document, kind: str, page: int, dpi: int | None) -> bytes:
    """All pages as pdf, or one of them as svg or png."""
    if kind == "pdf":
        from .page.write.pdf import write_pdf

        return write_pdf(document)
    if kind == "svg":
        from .page.write.svg import write_svg

        return write_svg(document, page).encode()
    from .page.write.png import write_png

    return write_png(document, page, dpi or USUAL_DPI)


#: The endings of files that hold a performance.
PLAYBACK_FORMATS: Final = (".mid", ".wav", ".ogg", ".flac", ".mp3")
#: The minimum length in minutes of a performance that has a caution for the hands.
LONG_MINUTES: Final = 5


class PlaybackError(MidneckError, ValueError):
    """An option does not belong to the format; the message names the format of the option."""


@frozen
class Instruments:
    """The instruments of playback.

    In sound, `soundfont` is the path of a SoundFont, None for our own strings; in MIDI,
    `strings_apart` puts each guitar string on its own channel.
    """

    soundfont: Path | None = None
    strings_apart: bool = False

    def check(self, kind: str) -> None:
        """Raise PlaybackError when an option does not belong to a file of this kind."""
        if self.soundfont is not None and kind == ".mid":
            raise PlaybackError("--soundfont plays a file of sound, not a .mid file")
        if self.strings_apart and kind != ".mid":
            raise PlaybackError(f"--strings-apart is for a .mid file, not a {kind} file")


OWN: Final = Instruments()


def export_performance(
    performance: Performance,
    kind: str,
    instruments: Instruments = OWN,
    fingerprint: str | None = None,
) -> bytes:
    """The bytes of a file in a format of `PLAYBACK_FORMATS`.

    `fingerprint` is stamped into it, None for an input that is not recorded. Raises PlaybackError
    when the instruments do not fit it, SynthesizerError when the SoundFont cannot be played,
    AudioError when the machine cannot encode the format.
    """
    instruments.check(kind)
    mark = signature(fingerprint)
    if kind == ".mid":
        from .midi import write_midi

        return sealed(write_midi(performance, instruments.strings_apart, mark))
    from .sound.audio import audio_bytes, wav_bytes

    samples = _samples(performance, instruments.soundfont)
    if kind == ".wav":
        return sealed(wav_bytes(samples, mark))
    return sealed(audio_bytes(samples, kind, mark))


def _samples(performance: Performance, soundfont: Path | None) -> Mix:
    """The samples of a performance, played by our own strings or with a SoundFont."""
    if soundfont is None:
        from .sound.strings import mix

        return mix(performance)
    from .sound.fluidsynth import fluid_mix

    return fluid_mix(performance, soundfont)


def cautions(performance: Performance, ladder: bool = False) -> list[str]:
    """The cautions that belong to a performance: for hearing, and for the hands if it is long."""
    minutes = performance.seconds(performance.length) / 60
    hands = [HAND_CAUTION] if ladder or minutes > LONG_MINUTES else []
    return [*hands, HEARING_CAUTION]
