"""The limits of what is read and made: one place for readers, values and writers.

A file beyond a limit is refused in words that name it. Limits are counted over the whole file and
before anything is expanded, so that a small file cannot ask for much work: recalled sections,
repeats and multi-bar rests count as what they stand for. They lie far above what a lead sheet
needs (a tune has some 32 bars; 1,000 choruses of it are 32,000), and are chosen so that every
refusal takes less than two seconds and 500 MB, measured.
"""

from __future__ import annotations

from typing import Final

#: The most bytes of a text (a sheet or a tune in ABC), its most lines, and the longest of them.
MAX_TEXT_BYTES: Final = 4_000_000
MAX_LINES: Final = 20_000
MAX_LINE: Final = 100_000
#: The most characters of a title, a name, any other header, a text for the player or a comment.
MAX_TEXT: Final = 4_000
#: The most characters of a chord symbol.
MAX_SYMBOL: Final = 80
#: The most mistakes that are collected; nothing is read past them.
MAX_MISTAKES: Final = 1_000

#: The most written bars; each bar of a multi-bar rest counts.
MAX_BARS: Final = 20_000
#: The most bars in all with recalled sections in their places, and the most bars played.
MAX_PLAYED: Final = 50_000
#: The most chords with recalled sections in their places, and the most chords played.
MAX_CHORDS: Final = 50_000
#: The most beats of these bars: pages and sound have a mark or a stroke for each.
MAX_BEATS: Final = 200_000
#: The most times that a repeat is played.
MAX_TIMES: Final = 100
#: The most bars of one multi-bar rest.
MAX_REST_BARS: Final = 999
#: The most beats of a meter: scores have cadenzas and bars of odd lengths, whose sheets must read
#: back.
MAX_METER_BEATS: Final = 512

#: The most pulses of a performance with all its choruses, and the most beats of a score in
#: MusicXML, counted in each part.
MAX_PERFORMED_PULSES: Final = 24_000
MAX_SCORE_BEATS: Final = 100_000
#: The most pulses of a bar that has the strokes of a rhythm over it: more cannot be told apart.
MAX_DRAWN_PULSES: Final = 64

#: The most characters and the most chords of a typed progression.
MAX_PROGRESSION: Final = 1_000
MAX_PROGRESSION_CHORDS: Final = 64

#: ABC: the most quarter notes of a measure, the most parts that an order of parts names.
MAX_ABC_QUARTERS: Final = 128
MAX_PARTS: Final = 200

#: MusicXML: the most bytes of a score, also of one in an archive.
MAX_SCORE_BYTES: Final = 32 * 1024 * 1024
#: The most bytes of an archive (a lead sheet packs into a few thousand), of its list of members,
#: and of its `container.xml`.
MAX_ARCHIVE_BYTES: Final = 8 * 1024 * 1024
MAX_DIRECTORY_BYTES: Final = 64 * 1024
MAX_CONTAINER_BYTES: Final = 64 * 1024
#: The most elements of a score, and how deep they are nested.
MAX_ELEMENTS: Final = 1_000_000
MAX_DEPTH: Final = 64
#: The most elements that are kept of a measure, or of everything before the first one.
MAX_MEASURE_ELEMENTS: Final = 20_000
#: The most measures of all parts together, and the most harmonies, fermatas, words and signs.
MAX_MEASURES: Final = 50_000
MAX_MARKS: Final = 50_000
#: The longest measure in quarter notes: as many whole notes as a meter has beats.
MAX_SCORE_QUARTERS: Final = 4 * MAX_METER_BEATS

#: The most bytes of a TOML file (a player, defaults) and of that of a book; the most tunes of it.
MAX_TOML_BYTES: Final = 100_000
MAX_BOOK_BYTES: Final = 1_000_000
MAX_TUNES: Final = 10_000
#: The largest seed of a random order, which stands in the title of the drill and in its name.
MAX_SEED: Final = 999_999_999
#: How deep the tables and lists of a TOML file are nested, and the most digits of its numbers.
MAX_TOML_DEPTH: Final = 8
MAX_DIGITS: Final = 20
