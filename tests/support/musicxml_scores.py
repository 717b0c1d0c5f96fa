"""Small scores in MusicXML for tests, put together from the pieces that a test is about."""

from __future__ import annotations

import io
import zipfile

#: A quarter note of melody and a whole note's worth of rest (two divisions to the quarter).
QUARTER = "<note><pitch><step>C</step><octave>4</octave></pitch><duration>2</duration></note>"
WHOLE_REST = "<note><rest/><duration>8</duration></note>"
CONTAINER = '<container><rootfiles><rootfile full-path="{path}"/></rootfiles></container>'


def harmony(root: str = "C", kind: str = "major", inside: str = "", attributes: str = "") -> str:
    """A `<harmony>`; `inside` follows the kind."""
    alter = root.count("#") - root[1:].count("b")
    altered = f"<root-alter>{alter}</root-alter>" if alter else ""
    return (
        f"<harmony {attributes}><root><root-step>{root[0]}</root-step>{altered}</root>"
        f"<kind>{kind}</kind>{inside}</harmony>"
    )


def degree(value: int, alter: int, type_: str) -> str:
    """A `<degree>`."""
    return (
        f"<degree><degree-value>{value}</degree-value><degree-alter>{alter}</degree-alter>"
        f"<degree-type>{type_}</degree-type></degree>"
    )


def direction(inside: str, sound: str = "") -> str:
    """A `<direction>` with one direction type."""
    return f"<direction><direction-type>{inside}</direction-type>{sound}</direction>"


def barline(where: str, inside: str) -> str:
    """A `<barline>`."""
    return f'<barline location="{where}">{inside}</barline>'


def attributes(inside: str) -> str:
    """`<attributes>`."""
    return f"<attributes>{inside}</attributes>"


def time(beats: object = 4, unit: object = 4, symbol: str = "") -> str:
    """A `<time>`."""
    symbol = f' symbol="{symbol}"' if symbol else ""
    return f"<time{symbol}><beats>{beats}</beats><beat-type>{unit}</beat-type></time>"


def key(fifths: int, mode: str = "major") -> str:
    """A `<key>`; without `<mode>` where it is ""."""
    said = f"<mode>{mode}</mode>" if mode else ""
    return f"<key><fifths>{fifths}</fifths>{said}</key>"


def score(
    *measures: str, first: str = "", head: str = "", said: dict[int, str] | None = None
) -> bytes:
    """A score of one part. `first` is added to the first measure's attributes, `said` to a
    measure's tag."""
    opening = attributes("<divisions>2</divisions>" + (first or key(0) + time()))
    inner = "".join(
        f'<measure number="{at}" {(said or {}).get(at, "")}>'
        f"{opening if at == 1 else ''}{measure}</measure>"
        for at, measure in enumerate(measures, start=1)
    )
    return parts(head, P1=inner)


def parts(head: str = "", **inner: str) -> bytes:
    """A score of several parts from the measures of each."""
    listed = "".join(
        f'<score-part id="{id_}"><part-name>{id_}</part-name></score-part>' for id_ in inner
    )
    bodies = "".join(f'<part id="{id_}">{measures}</part>' for id_, measures in inner.items())
    return (
        '<?xml version="1.0" encoding="UTF-8"?>'
        f"<score-partwise>{head}<part-list>{listed}</part-list>{bodies}</score-partwise>"
    ).encode()


def archive(content: bytes, path: str = "score.xml", container: str | None = None) -> bytes:
    """An `.mxl` archive."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("META-INF/container.xml", container or CONTAINER.format(path=path))
        file.writestr(path, content)
    return packed.getvalue()


#: A score with something of everything that is read, plain and packed.
BUSY = score(
    harmony("G", "dominant", degree(9, -1, "add")) + QUARTER,
    barline("left", '<ending number="1" type="start"/><repeat direction="forward"/>')
    + harmony("Bb", "major", "<inversion>1</inversion><offset>-1</offset>")
    + QUARTER * 2
    + direction("<words>To Coda</words>", '<sound tocoda="c"/>')
    + QUARTER * 2
    + barline("right", '<ending number="1" type="stop"/><repeat direction="backward"'
              ' times="2"/>'),
    direction("<rehearsal>B</rehearsal>", '<sound tempo="120"/>')
    + attributes(key(-3) + time(3, 4)),
    "<harmony><numeral><numeral-root>5</numeral-root></numeral><kind>dominant</kind></harmony>"
    "<harmony><function>II</function><kind>minor</kind></harmony>"
    + WHOLE_REST,
    attributes("<measure-style><multiple-rest>2</multiple-rest></measure-style>") + WHOLE_REST,
    direction("<words>D.C. al Fine</words>") + WHOLE_REST,
    said={1: 'implicit="yes"'},
)  # fmt: skip
PACKED = archive(BUSY)
