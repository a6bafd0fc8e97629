"""This module reads the colours of a line: “12 red, 12 white” or “12 red 12 white”, “red, white” in equal numbers,
or one for all."""

import re
from collections.abc import Sequence

ANY = "any colour"
_COUNTED = re.compile(r"^(\d{1,6})\s*(?:×|[xX](?!\w))?\s*(\D.*)$")
_NEXT_NUMBER = re.compile(r"(?<=[^\W\d])\s+(?=\d+\s*(?:×|[xX](?!\w))?\s*[^\W\d])")
_HALF = re.compile(r"^half\s+", re.IGNORECASE)
LONGEST_NAME = 40
MOST_COLOURS = 24


class ColoursUnclear(ValueError):
    """Raised when a text cannot be read as colours for its number of balloons; the message is a sentence for a
    person."""


def read_colours(text: str, quantity: int, *, figures: bool = False) -> dict[str, int]:
    """Returns the number of balloons of each colour, in the order in which they are written.

    An empty text means any colour. figures: whether the name of a colour may hold a digit, as in “gold 4”. Raises
    ColoursUnclear when the text cannot be read so.
    """
    parts = _parts(text) if figures else _parts_before_numbers(text)
    if not parts:
        return {ANY: quantity}
    if len(parts) > MOST_COLOURS:
        raise ColoursUnclear(f"A line takes at most {MOST_COLOURS} colours. Put the others on another line.")
    counted = [_COUNTED.match(part) for part in parts]
    if all(counted):
        return _as_counted([(int(m[1]), _name(m[2], figures)) for m in counted if m], quantity)
    if any(counted):
        raise ColoursUnclear("Enter a number for every colour, for example “12 red, 12 white”, or for none.")
    return _evenly([_name(part, figures) for part in _halves(parts)], quantity)


def share_spares(counts: Sequence[int], spares: int) -> list[int]:
    """Returns how many of the spares fall on each of these colours, in proportion to their counts.

    It uses the largest remainder; of equal remainders, the first gains.
    """
    total = sum(counts)
    if not total or not spares:
        return [0 for _ in counts]
    shares = [divmod(spares * count, total) for count in counts]
    over = spares - sum(whole for whole, _ in shares)
    first = sorted(range(len(counts)), key=lambda place: -shares[place][1])[:over]
    return [whole + (place in first) for place, (whole, _) in enumerate(shares)]


def uncounted_colours(text: str) -> list[str]:
    """Returns the colours of the text, each once, if it gives no number for any of them; else an empty list.

    Raises ColoursUnclear when a name is too long or holds a digit.
    """
    parts = _parts(text)
    if any(_COUNTED.match(part) for part in parts):
        return []
    return list(dict.fromkeys(_name(part, figures=False) for part in parts))


def _parts(text: str) -> list[str]:
    """Returns the parts of the text between commas and other separators."""
    return [part.strip() for part in re.split(r"[,;+/&\n]|\band\b", text) if part.strip()]


def _parts_before_numbers(text: str) -> list[str]:
    """Returns the parts of the text between separators and before numbers: “12 red 12 white” has two. Names must
    hold no digit."""
    return [piece for part in _parts(text) for piece in _NEXT_NUMBER.split(part)]


def _halves(parts: list[str]) -> list[str]:
    """Returns the two colours of “half red, half white”; other parts as they are."""
    are_halves = len(parts) == 2 and all(_HALF.match(part) for part in parts)
    return [_HALF.sub("", part) for part in parts] if are_halves else parts


def _name(text: str, figures: bool) -> str:
    """Returns the name of a colour with single spaces. Raises ColoursUnclear when it is too long, or has a digit
    without figures."""
    name = " ".join(text.split())
    if len(name) > LONGEST_NAME:
        raise ColoursUnclear(f"A colour has at most {LONGEST_NAME} letters. Use Notes for anything else.")
    if not figures and re.search(r"\d", name):
        raise ColoursUnclear("Enter each number before its colour, for example “12 red, 12 white”.")
    return name


def _as_counted(pairs: list[tuple[int, str]], quantity: int) -> dict[str, int]:
    """Returns the counts by colour. Raises ColoursUnclear unless they add up to the quantity."""
    shares: dict[str, int] = {}
    for count, name in pairs:
        shares[name] = shares.get(name, 0) + count
    total = sum(shares.values())
    if 0 in shares.values():
        raise ColoursUnclear("Remove the colour with 0 balloons.")
    if total != quantity:
        raise ColoursUnclear(describe_sum(total, quantity))
    return shares


def describe_sum(total: int, quantity: int) -> str:
    """Returns the sentence for colours that add up to another number than that of the balloons."""
    return f"The colours add up to {total}, but the number of balloons is {quantity}."


def _evenly(names: list[str], quantity: int) -> dict[str, int]:
    """Returns the quantity shared out evenly over the colours; the first ones get what is left over."""
    names = list(dict.fromkeys(names))
    if len(names) > quantity:
        raise ColoursUnclear(
            f"{len(names)} colours are too many for {quantity} balloons. Remove a colour or add balloons."
        )
    each, over = divmod(quantity, len(names))
    return {name: each + (place < over) for place, name in enumerate(names)}
