"""This module gives the bench's arrays their names. Only who plans needs their library, which is loaded then."""

from typing import TYPE_CHECKING, Any

from app.later import Later

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    IntArray = NDArray[np.int64]
    BoolArray = NDArray[np.bool_]
else:
    np, IntArray, BoolArray = Later("numpy"), Any, Any

__all__ = ["BoolArray", "IntArray", "np"]
