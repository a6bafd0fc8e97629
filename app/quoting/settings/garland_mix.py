"""The sizes of a garland and their shares, as they are typed."""

import re

from app.craft.garland import Mix

_SHARE = re.compile(r"([0-9]{1,2}(?:\.[0-9]{1,2})?) in × ([0-9]{1,3}(?:\.[0-9]{1,2})?)")


def read_mix(text: str) -> Mix:
    """Returns the shares by size from “5 in × 40, 9 in × 20”; x will do for ×. Raises ValueError with a
    sentence."""
    found = [_SHARE.fullmatch(part.strip().replace("x", "×")) for part in text.split(",")]
    if not all(found):
        raise ValueError("Sizes with their shares, please, as in “5 in × 40, 9 in × 20, 11 in × 30, 16 in × 10”.")
    try:
        return Mix(tuple((float(one[1]), float(one[2])) for one in found if one))
    except ValueError as wrong:
        raise ValueError(f"{str(wrong)[0].upper()}{str(wrong)[1:]}.") from None


def write_mix(mix: Mix) -> str:
    """Returns the mix in percent, to two decimals."""
    whole = sum(share for _, share in mix.shares)
    return ", ".join(f"{size:g} in × {round(100 * share / whole, 2):g}" for size, share in mix.shares)
