"""Harmony: keys, roman numerals, goals of dominants, and areas such as ii–V–Is and turnarounds.

The modules in reading order; each imports only modules listed before it.

- `analysis`: the values that the analysis gives, and a summary of them
- `chord_class`: the root, sound and bass of a chord
- `numerals`: the numeral and the role of a chord in a key
- `weights`: the rules of the analysis and their prices
- `events`: the chords in played order, neighbours of one chord class joined
- `preparation`: which chord each chord prepares
- `functions`: the price of each chord in each key
- `metre`: the phrases of the form and the strength of their bars
- `cadence`: the goals of cadences and their strength, and why a key was heard
- `home`: the evidence of the form for the key of the tune
- `keys`: the key of the tune and the local keys, by one exact search
- `interpretation`: the numeral, role and goal of each chord in its local key
- `modal`: the mode and the keys of modal tunes
- `tune`: the events with their interpretations in one value
- `area_kinds`: ii–V–Is, turnarounds and the other kinds of areas
- `areas`: the areas of a tune, and which of them are its passages
- `analyse`: from a timeline to its analysis: `analyse`, `key_of`
"""
