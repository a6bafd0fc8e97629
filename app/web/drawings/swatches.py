"""How a balloon of a named colour looks: its fill and its finish.

Of the words of a name, the last known colour counts: “pale pink” is pink. What the shop says of its own colours
goes first.
"""

from collections.abc import Iterator, Mapping
from functools import lru_cache
from itertools import pairwise

from app.quoting.colour_looks import ColourLook, colour_key
from app.quoting.states import Finish

UNKNOWN = ColourLook("none", Finish.UNKNOWN)
FILLS = {
    "red": "#c8102e", "scarlet": "#d6232a", "burgundy": "#6d1a36", "maroon": "#6b1f2a", "wine": "#5e1f33",
    "pink": "#e77fb3", "hot pink": "#e3257b", "magenta": "#c2187a", "fuchsia": "#c8247f", "rose": "#e8a0a8",
    "blush": "#efc4bb", "coral": "#f0785f", "peach": "#f6b88f", "salmon": "#ef8f7a", "rose gold": "#d9a08b",
    "orange": "#f28c28", "amber": "#f0a53a", "copper": "#b5623b", "bronze": "#9a6a35", "rust": "#a8482a",
    "yellow": "#f6c915", "lemon": "#f8e36a", "mustard": "#d0a021", "gold": "#cfa23b", "champagne": "#e3cfa4",
    "green": "#2e8b57", "lime": "#9bcb3c", "mint": "#a9dcc3", "sage": "#9db08f", "olive": "#77803a",
    "emerald": "#1c7f58", "forest": "#22573a", "teal": "#1f7a7a", "turquoise": "#36b3ad", "aqua": "#5fc6c6",
    "blue": "#2464b4", "sky": "#8cc4ea", "light blue": "#9acbee", "royal": "#2746a6", "navy": "#1c2c56",
    "denim": "#46678f", "purple": "#6d3f9c", "violet": "#7a4cb0", "lilac": "#c3a6dd", "lavender": "#b9a9e0",
    "plum": "#6a2f63", "mauve": "#b08aa9", "brown": "#7a4b2d", "chocolate": "#553320", "tan": "#c6a27c",
    "sand": "#d9c3a0", "ivory": "#f4ecd8", "cream": "#f5edd4", "beige": "#e0d0b5", "pearl": "#eee8e2",
    "white": "#ffffff", "silver": "#c2c8d0", "grey": "#8d949e", "gray": "#8d949e", "charcoal": "#43484f",
    "black": "#1d1f23", "clear": "#e8f1f6", "transparent": "#e8f1f6",
}  # fmt: skip
"""Common practice, no source: what a counter means by the name, near enough to tell two balloons apart."""
FINISHES = {
    Finish.METALLIC: {"gold", "silver", "copper", "bronze", "chrome", "metallic", "pearl", "champagne", "mirror"},
    Finish.CLEAR: {"clear", "transparent", "crystal"},
    Finish.PATTERNED: {"confetti", "marble", "stars", "dots", "dotted", "striped", "stripes", "print",
                       "printed", "patterned", "leopard", "mixed", "assorted"},
}  # fmt: skip
PATTERN_GROUND = "#d9dde3"
FOIL_SHAPES = {"star", "heart", "moon", "number", "letter"}
"""Foil that is named by its shape alone; it is drawn as silver, the colour of foil that is not printed."""


NO_COLOURS: Mapping[str, ColourLook] = {}


def colour_look(name: str, own: Mapping[str, ColourLook] = NO_COLOURS) -> ColourLook:
    """Returns how a balloon of this colour looks. own: the shop's own colours by `colour_key`."""
    key = colour_key(name)
    return (own and _own_look(key, own)) or _usual_look(key)


def _own_look(key: str, own: Mapping[str, ColourLook]) -> ColourLook | None:
    """Returns the look of the longest run of words that is a colour of the shop's own, of equal ones the last; None
    if there is none. Another word of the name may still say the finish."""
    words = key.split()
    found = next((run for run in _runs(words) if " ".join(run) in own), None)
    if found is None:
        return None
    look = own[" ".join(found)]
    said = _finish(set(words) - set(found))
    return look if said is Finish.PLAIN else ColourLook(look.fill, said)


def _runs(words: list[str]) -> Iterator[list[str]]:
    """Yields the words that follow on one another, the longest first, of equal ones the last first."""
    for length in range(len(words), 0, -1):
        yield from (words[start : start + length] for start in range(len(words) - length, -1, -1))


@lru_cache(maxsize=4096)
def _usual_look(key: str) -> ColourLook:
    """Returns how a balloon of this colour looks in most shops."""
    words = key.split()
    finish, fill = _finish(set(words)), _fill(words)
    if fill is None and FOIL_SHAPES & set(words):
        return ColourLook(FILLS["silver"], Finish.METALLIC)
    if fill is None:
        return UNKNOWN if finish is Finish.PLAIN else ColourLook(PATTERN_GROUND, finish)
    return ColourLook(fill, finish)


def _finish(words: set[str]) -> Finish:
    """Returns the finish that one of the words says; plain if none does."""
    return next((one for one, of in FINISHES.items() if of & words), Finish.PLAIN)


def _fill(words: list[str]) -> str | None:
    """Returns the fill of the last words that are a known colour; None if there are none."""
    pairs = [" ".join(pair) for pair in pairwise(words)]
    return next((FILLS[one] for one in [*reversed(pairs), *reversed(words)] if one in FILLS), None)
