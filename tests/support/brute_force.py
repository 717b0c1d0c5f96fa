"""The costs of all plans of a small task, from `hand_effort`, which knows no planner's arrays."""

from __future__ import annotations

import numpy as np
from midneck.converter.hand.planner import PlanTask
from midneck.grammar.chord import Chord

from .hand_effort import quantize, strain, travel, unled


def brute_force(task: PlanTask) -> np.ndarray:
    """The cost of every combination of grips, one axis for each node."""
    count = len(task.choices)
    shape = tuple(len(choice.grips) for choice in task.choices)
    total = np.zeros(shape)
    player = task.player
    for node, choice in enumerate(task.choices):
        alone = [quantize(strain(one, player)) for one in choice.grips]
        total = total + _axis(np.array(alone) * task.nodes.count(node), (node,), count)
    weights: dict[tuple[int, int], float] = {}
    for at, node in enumerate(task.nodes):
        after = task.nodes[(at + 1) % len(task.nodes)]
        hurry = 1 + player.effort.hurry_s / task.played[at].seconds
        weights[node, after] = weights.get((node, after), 0.0) + hurry
    for (node, after), weight in weights.items():
        if node != after:
            chords = chord_of(task, node), chord_of(task, after)
            table = [
                [
                    quantize(
                        (travel(one, other, player) + unled((one, other), chords, player)) * weight
                    )
                    for other in task.choices[after].grips
                ]
                for one in task.choices[node].grips
            ]
            total = total + _axis(np.array(table), (node, after), count)
    return total


def chord_of(task: PlanTask, node: int) -> Chord:
    """The chord of a node."""
    chord = task.timeline.sheet.chords[task.chords[node]].chord
    assert chord is not None
    return chord


def _axis(table: np.ndarray, axes: tuple[int, ...], count: int) -> np.ndarray:
    order = sorted(range(len(axes)), key=lambda at: axes[at])
    table = table.transpose(order)
    shape = [1] * count
    for axis, size in zip(sorted(axes), table.shape, strict=True):
        shape[axis] = size
    return table.reshape(shape)
