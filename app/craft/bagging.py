"""Bags for finished pieces: which bag, how many pieces in each, how many bags."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

ROUNDING = 1e-9


class FitsNoBag(ValueError):
    """A piece is too wide or too tall for every bag; the message is a sentence for a person."""


@dataclass(frozen=True, slots=True)
class Bag:
    """A tube of film as it lies flat: its width and its length, cm, both over 0. Raises ValueError otherwise."""

    name: str
    flat_cm: float
    length_cm: float

    def __post_init__(self) -> None:
        if not (0.0 < self.flat_cm < math.inf and 0.0 < self.length_cm < math.inf):
            raise ValueError(f"{self.name}: width and length must be above 0")

    @property
    def opens_cm(self) -> float:
        """Diameter to which it opens: twice the flat width is its girth. Source: geometry."""
        return 2 * self.flat_cm / math.pi


@dataclass(frozen=True, slots=True)
class BagDefaults:
    """The shop's figures for bagging, each a setting, all from memory.

    bags: those in stock. closing_cm: length that closing a bag takes, 0 or more. most_layers: pieces one above
    another in a bag at most, 1 or more. Raises ValueError outside.
    """

    bags: tuple[Bag, ...] = (
        Bag("small bag", 90.0, 120.0),
        Bag("large bag", 120.0, 180.0),
        Bag("extra large bag", 160.0, 220.0),
    )
    closing_cm: float = 20.0
    most_layers: int = 3

    def __post_init__(self) -> None:
        if not 0.0 <= self.closing_cm < math.inf:
            raise ValueError(f"{self.closing_cm} cm for closing are not 0 or more")
        if self.most_layers < 1:
            raise ValueError(f"{self.most_layers} layers are not 1 or more")


@dataclass(frozen=True, slots=True)
class Bagging:
    """bag: the one to take. in_each: pieces in each bag, shared out evenly, the fuller first."""

    bag: Bag
    in_each: tuple[int, ...]

    @property
    def bags(self) -> int:
        return len(self.in_each)


def abreast(opens_cm: float, width_cm: float) -> int:
    """How many round pieces of that width stand beside each other in a bag that opens so far; cm, over 0.

    Rings from the wall inward: as many as can be up to nine; beyond, one or two more may sometimes go in. Raises
    ValueError for a figure that is not above 0. Source: geometry; Kravitz, Math. Magazine 40, 65 (1967), from
    memory.
    """
    if not (0.0 < opens_cm < math.inf and 0.0 < width_cm < math.inf):
        raise ValueError("bag and piece must be wider than 0")
    ratio, pieces = opens_cm / width_cm + ROUNDING, 0
    while ratio >= 2.0:
        pieces += math.floor(math.pi / math.asin(1.0 / (ratio - 1.0)) + ROUNDING)
        ratio -= 2.0
    return pieces + (1 if ratio >= 1.0 else 0)


def holds(bag: Bag, width_cm: float, height_cm: float, float_defaults: BagDefaults) -> int:
    """Pieces of that width and height, ribbons left out, that go into one bag; 0 where none does.

    Raises ValueError for a figure that is not above 0.
    """
    if not 0.0 < height_cm < math.inf:
        raise ValueError(f"a height of {height_cm} cm is not above 0")
    room = max(bag.length_cm - float_defaults.closing_cm, 0.0)
    layers = min(math.floor(room / height_cm + ROUNDING), float_defaults.most_layers)
    return layers * abreast(bag.opens_cm, width_cm)


def bag_up(pieces: int, width_cm: float, height_cm: float, float_defaults: BagDefaults) -> Bagging:
    """The fewest bags for so many alike pieces, 1 or more; where two do the same, the one with less film.

    width_cm, height_cm: of one piece without ribbons, over 0. Raises FitsNoBag, and ValueError for a figure
    outside.
    """
    if pieces < 1:
        raise ValueError(f"{pieces} pieces are not 1 or more")
    fitting = [
        (bag, most) for bag in float_defaults.bags if (most := holds(bag, width_cm, height_cm, float_defaults))
    ]
    if not fitting:
        raise FitsNoBag(_none(width_cm, height_cm, float_defaults.bags))
    bag, most = min(fitting, key=lambda pair: (math.ceil(pieces / pair[1]), pair[0].flat_cm * pair[0].length_cm))
    return Bagging(bag, _shared(pieces, math.ceil(pieces / most)))


def _shared(pieces: int, bags: int) -> tuple[int, ...]:
    each, over = divmod(pieces, bags)
    return (each + 1,) * over + (each,) * (bags - over)


def _none(width_cm: float, height_cm: float, bags: Iterable[Bag]) -> str:
    piece = f"A piece {width_cm:.0f} cm wide and {height_cm:.0f} cm tall"
    known = list(bags)
    if not known:
        return f"{piece} fits no bag: the shop has none."
    widest = max(known, key=lambda bag: bag.flat_cm)
    return f"{piece} fits no bag: the widest opens to {widest.opens_cm:.0f} cm and is {widest.length_cm:g} cm long."
