"""Drills: progressions round the keys, and a tune's own, as planned exercises.

The modules in reading order; each imports only modules listed before it.

- `drill`: the values: exercises with their stations, and how they are practised
- `cycles`: the ways round the keys
- `progressions`: the table of named progressions
- `positions`: the string and fret of every root, chosen exactly
- `exercises`: from blocks of chords to a sheet and its planned chart
- `make`: the drill of a progression, and that of a tune
"""
