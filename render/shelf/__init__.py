"""A folder of tunes as an index that can be asked: what is in which tune, and in which bars.

- `sounds`: keys, chords and grips by their sound
- `entry`: what the index knows of a tune, worked out from its chart
- `index`: the index in SQLite: filled for what has changed, rebuilt when damaged
- `words`: words of texts, by FTS5 or by a scan
- `query`: what can be asked, as a value and as SQL; which tune to learn next
"""
