"""Harmony: keys, roman numerals, what dominants aim at, and the areas that a student should see.

The modules in the order in which they are read: each imports only modules that stand before it.

- `analysis`: the values that the analysis gives, and a summary of them
- `chord_class`: what harmony hears in a chord: root, sound and bass
- `numerals`: the numeral and the role of a chord in a key
- `weights`: the rules of the analysis and their prices
- `events`: the chords in played order, neighbours of one chord class joined
- `preparation`: which chord each chord prepares
- `functions`: what each chord costs in each key, and its function in its local key
- `keys`: the key of the tune and the local keys, by one exact search
- `areas`: ii–V–Is, turnarounds and the other areas
- `analyse`: from a timeline to its analysis: `analyse`, `key_of`
"""
