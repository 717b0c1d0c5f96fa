"""The grain of costs: parts of a millimetre to which every cost is rounded before it is summed.

Sums of such numbers are exact in floating point, so equal plans are equal to the last bit on every
machine, and a tie is a real tie.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

#: Parts of a millimetre that costs are rounded to.
QUANTUM: Final = 1024.0


def rounded(costs: FloatArray) -> FloatArray:
    """Costs as whole grains."""
    return np.asarray(np.rint(costs * QUANTUM) / QUANTUM)
