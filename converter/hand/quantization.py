"""Quantization of costs: every cost is a multiple of 1/1024 mm before it is summed.

Sums of such numbers are exact in floating point, so that equal efforts are equal to the last bit on
every machine and a comparison finds every tie.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, TypeAlias

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

FloatArray: TypeAlias = "NDArray[np.float64]"
IntArray: TypeAlias = "NDArray[np.int64]"

#: The number of steps in a millimetre to which costs are rounded.
QUANTUM: Final = 1024.0


def quantize(costs: FloatArray) -> FloatArray:
    """Costs rounded to multiples of 1 / `QUANTUM` mm, ties to even."""
    return np.asarray(np.rint(costs * QUANTUM) / QUANTUM)
