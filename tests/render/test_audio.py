"""Compressed audio against libsndfile as reader: length, level and likeness to the WAV file."""

from __future__ import annotations

import builtins
import io
from typing import Any

import midneck
import numpy as np
import pytest
import soundfile
from midneck.render.export import export_performance
from midneck.render.ogg import with_checksum
from midneck.render.sound.audio import FORMATS, AudioError, audio_bytes
from midneck.render.stamps import MARK

CHART = midneck.chart("Tempo: 160\n| Dm7 | G7 |\n")


def samples(kind: str) -> np.ndarray[Any, Any]:
    data, rate = soundfile.read(io.BytesIO(CHART.files(kind)[0][1]))
    assert rate == 44_100
    return np.asarray(data)


@pytest.mark.parametrize("kind", [kind[1:] for kind in FORMATS])
def test_a_format_sounds_like_the_wav_file(kind: str) -> None:
    plain, packed = samples("wav"), samples(kind)
    length = min(len(plain), len(packed))
    assert abs(len(plain) - len(packed)) < 4_000
    # The encoders of MP3 shift the sound by up to two frames of 1,152 samples.
    likeness = max(
        float(np.corrcoef(plain[: length - lag], packed[lag:length])[0, 1])
        for lag in range(0, 2_400, 1 if kind == "mp3" else 2_400)
    )
    assert likeness > 0.99


def test_compressed_files_are_small_and_carry_our_mark() -> None:
    whole = len(CHART.files("wav")[0][1])
    for kind, most in (("ogg", 0.3), ("mp3", 0.3), ("flac", 0.8)):
        data = CHART.files(kind)[0][1]
        assert len(data) < most * whole
        assert MARK.encode() in data or MARK.encode("utf-16")[2:] in data


def test_a_stream_that_is_cut_keeps_its_bytes() -> None:
    """A page of Ogg has 27 bytes before its segments (RFC 3533, 6)."""
    cut = b"OggS" + bytes(22)
    assert with_checksum(cut, 0) == with_checksum(cut, -1) == cut
    assert with_checksum(cut + b"\0", 0) != cut + b"\0"


def test_an_ogg_file_is_the_same_bytes_each_time() -> None:
    assert CHART.files("ogg") == CHART.files("ogg")


def test_without_soundfile_it_is_told_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def refuse(name: str, *rest: Any) -> Any:
        if name == "soundfile":
            raise ImportError(name)
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", refuse)
    with pytest.raises(AudioError, match=r"\.ogg files need the extra audio: pip install"):
        audio_bytes(np.zeros(10, np.float32), ".ogg")


def test_a_soundfont_is_refused_for_midi_alone() -> None:
    from pathlib import Path

    from midneck.converter.practice.perform import perform
    from midneck.converter.practice.performance import Settings
    from midneck.render.export import Instruments, PlaybackError

    comping = CHART.comping
    performance = perform(comping.timeline, comping.plan, Settings())
    with pytest.raises(PlaybackError, match=r"plays a file of sound, not a \.mid file"):
        export_performance(performance, ".mid", Instruments(soundfont=Path("x.sf2")))
