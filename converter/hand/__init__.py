"""The hand: every way to grip each chord of a tune, and the plan that asks least of the player.

The modules in the order in which they are read: each imports only modules that stand before it.

Who plays, and what is wished:

- `effort`: what playing costs, in millimetres: reach and the weights of effort, with reasons
- `taste`: which tones a plain symbol is played with, which tones speak for a chord
- `player`: the neck and the player
- `presets`, `tuning`, `player_problems`: ready players, note names, mistakes in a player file
- `wishes`: what one plan is asked for

What can be held:

- `grip`: the values: notes on strings (a voicing), with fingers (a grip)
- `layouts`: which tones of a chord may lie on which strings, style by style
- `voicing`: every voicing of a chord on a neck, by search
- `fingering`: every way to finger frets, with barres and mutes
- `taught`: the fingerings that teachers give
- `player_file`: a player from a TOML text
- `grain`: costs are rounded, so that sums are exact
- `shapes`: the fingerings of a shape, worked out once for all frets
- `strain`: what holding a grip costs
- `candidates`: the grips for one chord, row by row in arrays
- `moves`: what going from one grip to another costs, for all pairs at once

The plan:

- `plan`: the finished plan, and the error where there is none
- `playings`: which chord is struck when, and how long until the next
- `choices`: the candidates of each written chord, pins and wishes obeyed
- `graph`: a node for each chord, its candidates as labels, costs on nodes and edges
- `factors`, `dead_ends`, `eliminate`: the labelling of least cost, exactly
- `smooth`: the hardest change made least, and then the sum
- `travel`: how far the hand goes, as a teacher reads it
- `planner`: from a sheet and its form to the plan: `plan_hand`

Other plans, and the plan in words:

- `marginals`, `kbest`, `alternatives`: the next best plans, the nearest other grips
- `changes`: what moves from one grip to the next, finger by finger
- `cautions`: what must be said where hands are stretched
- `difficulty`, `sentences`, `explain`, `story`: why a plan is as it is
"""
