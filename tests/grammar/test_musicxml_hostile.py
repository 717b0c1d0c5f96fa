"""Hostile and broken files: refused with a reason, in bounded memory, never a crash."""

from __future__ import annotations

import io
import resource
import struct
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from midneck.grammar.errors import SheetError
from midneck.grammar.limits import MAX_SCORE_BYTES
from midneck.grammar.musicxml import looks_like_musicxml, read_musicxml
from support.musicxml_scores import WHOLE_REST, archive, harmony, score

GOOD = score(harmony() + WHOLE_REST)
ENTITY = '<!DOCTYPE score-partwise [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;">]>'


def with_doctype(doctype: str, body: str = "") -> bytes:
    text = GOOD.decode().replace("<score-partwise>", f"{doctype}<score-partwise>{body}", 1)
    assert doctype in text
    return text.encode()


def refused(data: bytes, reason: str) -> None:
    with pytest.raises(SheetError) as caught:
        read_musicxml(data, "tune.mxl")
    (problem,) = caught.value.problems
    assert reason in problem.message
    assert caught.value.name == "tune.mxl"


def test_the_good_file_is_good() -> None:
    assert len(read_musicxml(GOOD).chords) == 1
    assert len(read_musicxml(archive(GOOD)).chords) == 1


def test_the_standard_doctype_is_read_and_not_fetched() -> None:
    doctype = (
        '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"'
        ' "http://nowhere.invalid/partwise.dtd">'
    )
    assert len(read_musicxml(with_doctype(doctype)).chords) == 1


@pytest.mark.parametrize(
    "doctype",
    [
        ENTITY,
        '<!DOCTYPE score-partwise [<!ENTITY a SYSTEM "file:///etc/passwd">]>',
        '<!DOCTYPE score-partwise [<!ENTITY % a SYSTEM "http://nowhere.invalid/x"> %a;]>',
        "<!DOCTYPE score-partwise [" + '<!ATTLIST a b CDATA "">' * 10 + "]>",
        "<!DOCTYPE score-partwise []>",
    ],
)
def test_entities_are_refused_when_they_are_declared(doctype: str) -> None:
    refused(with_doctype(doctype, "<work><work-title>&a;</work-title></work>"), "XML entities")


@pytest.mark.parametrize("fret", ["-3", "3.5"])
def test_a_fret_that_no_neck_has_is_refused(fret: str) -> None:
    note = f"<frame-note><string>1</string><fret>{fret}</fret></frame-note>"
    frame = f'<frame id="pin-1"><frame-strings>6</frame-strings>{note}</frame>'
    refused(score(harmony(inside=frame) + WHOLE_REST), "a fret is a whole number")


def test_a_key_of_countless_sharps_names_no_root() -> None:
    far = "<numeral-key><numeral-fifths>999999999</numeral-fifths></numeral-key>"
    numeral = f"<harmony><numeral><numeral-root>5</numeral-root>{far}</numeral></harmony>"
    (chord,) = read_musicxml(score(numeral + WHOLE_REST)).chords
    assert chord.chord is None


def test_entities_that_nobody_declares_are_refused() -> None:
    refused(with_doctype("", "<work><work-title>&a;</work-title></work>"), "undefined entity")


@pytest.mark.parametrize(
    "path", ["../score.xml", "/etc/passwd", "a/../../score.xml", "..\\score.xml", "C:\\score.xml"]
)
def test_paths_that_leave_the_archive(path: str) -> None:
    refused(archive(GOOD, path), "outside itself")


def test_archives_that_are_not_what_they_should_be() -> None:
    refused(archive(GOOD)[:-30], "damaged")
    refused(b"PK\x03\x04" + b"\0" * 100, "damaged")
    refused(archive(GOOD, container="<container/>"), "names no score")
    missing = '<container><rootfiles><rootfile full-path="other.xml"/></rootfiles></container>'
    refused(archive(GOOD, container=missing), "does not hold the score")
    hidden = ENTITY.replace("score-partwise", "container") + missing
    refused(archive(GOOD, container=hidden), "XML entities")
    broken = bytearray(archive(GOOD))
    at = broken.find(b"score.xml") + 15
    broken[at : at + 10] = b"\xff" * 10
    refused(bytes(broken), "damaged")


def test_an_archive_without_a_container_but_one_score() -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as file:
        file.writestr("tune.musicxml", GOOD)
    assert len(read_musicxml(packed.getvalue()).chords) == 1


def test_other_packings_are_refused() -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_LZMA) as file:
        file.writestr("tune.musicxml", GOOD)
    refused(packed.getvalue(), "other than deflate")


def test_a_crowd_of_members_is_refused() -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as file:
        for number in range(2_000):
            file.writestr(f"{number}.txt", "")
    refused(packed.getvalue(), "too many members")


def test_a_forged_record_of_another_size_is_refused() -> None:
    """The sizes of a ZIP64 record override those of the end record (APPNOTE 4.3.14, 4.3.15)."""
    whole = archive(GOOD)
    end = whole.rfind(b"PK\x05\x06")
    record = b"PK\x06\x06" + struct.pack("<Q2H2L4Q", 44, 45, 45, 0, 0, 2, 2, 2**40, 0)
    locator = b"PK\x06\x07" + struct.pack("<LQL", 0, end, 1)
    refused(whole[:end] + record + locator + whole[end:], "ZIP64")


def test_depth_and_length_are_bounded() -> None:
    deep = b"<score-partwise>" + b"<part>" * 100_000
    refused(deep, "nested deeper")
    skipped = b"<score-partwise><defaults>" + b"<x>" * 100_000
    refused(skipped, "nested deeper")
    long = GOOD.replace(b"<kind>major", b"<kind>" + b"major " * 100_000)
    refused(long, "longer than any text")
    many = GOOD.replace(WHOLE_REST.encode(), WHOLE_REST.encode() * 50_000)
    refused(many, "one measure holds more")


@pytest.mark.parametrize(
    ("old", "new", "reason"),
    [
        ("<divisions>2", "<divisions>0", "above 0"),
        ("<divisions>2", "<divisions>1e999999999", "should hold a number"),
        ("<divisions>2", "<divisions>" + "9" * 3000, "should hold a number"),
        ("<duration>8", "<duration>-8", "negative"),
        ("<duration>8", "<duration>999999999", "longer than any measure"),
        ("<beats>4", "<beats>0", "1 to 512 beats"),
        ("<beats>4", "<beats>4+", "should hold a number"),
        ("<beat-type>4", "<beat-type>5", "counts whole, half, quarter"),
        ("<fifths>0", "<fifths>99", "no key has so many"),
        ("<kind>major</kind>", "<kind>major</kind><bass><bass-step>H</bass-step></bass>", "bass"),
    ],
)
def test_numbers_that_make_no_sense(old: str, new: str, reason: str) -> None:
    text = GOOD.decode()
    assert old in text
    refused(text.replace(old, new).encode(), reason)


def test_what_is_no_score() -> None:
    refused(b"", "not MusicXML")
    refused(b"Title: Hush\n| C |", "not MusicXML")
    refused(b"<?xml version='1.0'?><html/>", "this XML is not a score")
    refused(b"<?xml version='1.0'?><score-partwise>", "no element found")
    refused(b"<?xml version='1.0' encoding='klingon'?><score-partwise/>", "encoding")
    refused(b"<score-partwise/>", "no chord symbols")
    refused(score(WHOLE_REST), "no chord symbols")


def test_a_fault_has_its_place() -> None:
    with pytest.raises(SheetError) as caught:
        read_musicxml(b"<score-partwise>\n  <part></wrong>", "tune.xml")
    (problem,) = caught.value.problems
    assert problem.line == 2
    assert "not well-formed" in problem.message
    assert str(caught.value).startswith("tune.xml:2:")


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        (GOOD, True),
        (archive(GOOD), True),
        (GOOD.decode().replace("UTF-8", "UTF-16").encode("utf-16"), True),
        (b"\n <score-timewise>", True),
        (b"Title: Hush\n| C |", False),
        (b"%PDF-1.7", False),
        (b"", False),
    ],
)
def test_sniffing(data: bytes, expected: bool) -> None:
    assert looks_like_musicxml(data) is expected


BOMB = """
import io, sys, zipfile
from midneck.grammar.errors import SheetError
from midneck.grammar.musicxml import read_musicxml

def attempt(data):
    try:
        read_musicxml(data)
    except SheetError as error:
        print(error.problems[0].message)

packed = io.BytesIO()
with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as file:
    with file.open("tune.xml", "w", force_zip64=True) as member:
        member.write(b"<score-partwise>")
        for _ in range(64):
            member.write(b" " * (1 << 20))
attempt(packed.getvalue())
attempt(b"<score-partwise>" + b" " * (100 << 20))
notes = b"<note><rest/><duration>1</duration></note>" * 200
measures = b'<measure number="1">' + notes + b"</measure>"
attempt(b'<score-partwise><part id="P">' + measures * 150 + b"</part></score-partwise>")
symbol = b"<harmony><root><root-step>C</root-step></root></harmony>"
crowded = b"<measure>" + symbol * 1000 + b"</measure>"
attempt(b'<score-partwise><part id="P">' + crowded * 60 + b"</part></score-partwise>")
field = b'<miscellaneous-field name="a">b</miscellaneous-field>' * 1000
about = b"<identification><miscellaneous>" + field + b"</miscellaneous></identification>"
attempt(b"<score-partwise>" + about * 60)
many = b"<score-partwise>" + b"".join(
    b'<part id="P%d">' % part + b"<measure/>" * 100 + b"</part>" for part in range(600)
)
attempt(many)
"""


@pytest.mark.slow
def test_bombs_and_giants_stay_within_memory() -> None:
    """64 MB of packed spaces, 100 MB, and crowds of small pieces, in a process held to 500 MB."""

    def hold() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (500 << 20, 500 << 20))

    done = subprocess.run(
        [sys.executable, "-c", BOMB], capture_output=True, text=True, check=False,
        preexec_fn=hold, cwd=Path(__file__).parent,
    )  # fmt: skip
    limit = MAX_SCORE_BYTES >> 20
    assert done.stderr == ""
    assert done.stdout.splitlines() == [
        f"the score in the .mxl archive is larger than {limit} MB; no lead sheet is",
        f"the file is larger than {limit} MB; no lead sheet is",
        "the score holds no chord symbols (<harmony>), so there is nothing to chart",
        "the file holds more chord symbols and words than any score",
        "the file says more about itself than any score",
        "the file holds more measures than any score",
    ]
