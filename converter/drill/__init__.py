"""Drills: progressions round the keys, and a tune's own, as planned exercises.

The modules in reading order; each imports only modules listed before it.

- `drill`: the values: exercises with their stations, and how they are practised
- `progressions`: the tables of named progressions and of cycles, the orders of keys
- `positions`: the string and fret of every root, chosen exactly
- `exercises`: from blocks of chords to a sheet and its planned chart
- `make`: the drill of a progression
- `tune`: the drill of a tune
- `collection`: the drills of many tunes, those that they share once
"""
