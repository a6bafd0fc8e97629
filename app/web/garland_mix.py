"""The sizes of a garland as a shop types and reads them: “5 in × 40, 11 in × 60”, “12.7 cm × 40, 27.9 cm × 60”."""

import re
from collections.abc import Callable

from app.web.measures import CENTIMETRES, ShownUnit, kept_value, typed_value

NEAR_WHOLE = 0.02
"""How near a size in cm must be to whole inches, as a share, to be that size: a pack of 11 in says 28 cm (common
practice, no source)."""
_SIZE = re.compile(r"([0-9]+(?:\.[0-9]+)?)\s*(in|cm)\b")


def shown_mix(mix: str, unit: ShownUnit) -> str:
    """Returns a saved mix, whose sizes are in inches, in the shop's unit of size."""
    return mix if unit.size == 1.0 else _with_sizes(mix, lambda size, _: f"{_typed(float(size))} {unit.name}")


def kept_mix(typed: str) -> str:
    """Returns a typed mix with its sizes in inches. What is no size stays as it was typed."""
    return _with_sizes(typed, lambda size, unit: f"{_inches(size) if unit == 'cm' else float(size):.10g} in")


def _with_sizes(mix: str, write: Callable[[str, str], str]) -> str:
    return _SIZE.sub(lambda found: write(found[1], found[2]), mix)


def _typed(inches: float) -> str:
    """Returns a size in cm to a tenth, or as exactly as it must be typed to be the same size again."""
    tenths = f"{CENTIMETRES.shown(inches):.1f}"
    return tenths if _inches(tenths) == inches else typed_value(inches, CENTIMETRES, _inches)


def _inches(typed: str) -> float:
    """Returns a size that was typed in cm, in inches to two decimals."""
    inches = round(kept_value(typed, CENTIMETRES), 2)
    return float(round(inches)) if abs(inches - round(inches)) <= NEAR_WHOLE * inches else inches
