"""The hand: every grip for each chord of a tune, and the plan of least effort for the player.

The modules in reading order; each imports only modules listed before it.

- `player`: the neck, the player's reach, the weights of effort, preferences, presets
- `quantization`: costs are multiples of one quantum, so that sums are exact
- `grip`: the values: notes on strings (a voicing), with fingers (a grip)
- `clashes`: notes of pinned grips that contradict their symbols
- `plan`: the options of a plan, the finished plan, the error if there is none
- `voicings`: every voicing of a chord on a neck, by search
- `finger_rules`: what a hand can hold, and what teachers let it hold, each rule with its reason
- `standard_fingerings`: the table of shapes with the fingers that teachers give
- `reach`: the spreads of the fingers in mm, their limits and their cost
- `fingerings`: the one fingering of a shape for a player
- `player_file`: a player from a TOML text
- `leading`: voices that a change leads by step: slides of the bass, lines of chords on one root
- `travel`: the effort of moving from one grip to another
- `costs`: the grips for a chord and the strain of holding them
- `constraints`: the grips of every chord of a sheet, as pins and options constrain them
- `graph`: a node for each chord, its grips as labels, costs on nodes and edges
- `chains`: runs of chords without a junction, swept from end to end
- `solver`: the labelling of least cost, exactly, and the least cost with each label
- `phrases`: the phrases that a tune repeats, whose chords share their grips
- `planner`: from a sheet and its form to the plan: `plan_hand`

What is said of a finished chart is beside this folder: `converter/explain.py` has its figures (the
changes, the hardest, the difficulty), `converter/alternatives.py` what else its plan could have
been (other grips and styles, a hand that stays), `converter/prose/hand.py` the sentences.
"""
