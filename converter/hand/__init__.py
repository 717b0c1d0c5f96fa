"""The hand: every way to grip each chord of a tune, and the plan that asks least of the player.

The modules in the order in which they are read: each imports only modules that stand before it.

- `player`: the neck, the player's reach, the weights of effort, preferences, presets
- `quantization`: costs are multiples of one quantum, so that sums are exact
- `grip`: the values: notes on strings (a voicing), with fingers (a grip)
- `plan`: what a plan is asked for, the finished plan, and the error where there is none
- `voicings`: every voicing of a chord on a neck, by search
- `fingerings`: every way to finger a voicing; the standard ones; shapes
- `player_file`: a player from a TOML text
- `costs`: what holding a grip costs, and going from one to another
- `graph`: a node for each chord, its grips as labels, costs on nodes and edges
- `solver`: the labelling of least cost, exactly, and the next best ones
- `planner`: from a sheet and its form to the plan: `plan_hand`
- `ranking`: the nearest other grips, and how hard a plan is
- `explain`: what moves from one grip to the next, finger by finger
"""
