"""This module chooses bags for finished pieces: which bag, how many bags, and how many pieces in each."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

ROUNDING = 1e-9


class FitsNoBag(ValueError):
    """Raised when a piece is too wide or too tall for every bag; the message is a sentence for a person."""


@dataclass(frozen=True, slots=True)
class Bag:
    """A bag as it lies flat: its width and its length in cm, both above 0. Creating one raises ValueError
    otherwise."""

    name: str
    flat_cm: float
    length_cm: float

    def __post_init__(self) -> None:
        if not (0.0 < self.flat_cm < math.inf and 0.0 < self.length_cm < math.inf):
            raise ValueError(f"{self.name}: width and length must be above 0")

    @property
    def opens_cm(self) -> float:
        """The diameter in cm to which it opens, whose girth is twice the flat width. Source: geometry."""
        return 2 * self.flat_cm / math.pi


@dataclass(frozen=True, slots=True)
class BagDefaults:
    """The shop's figures for bagging. Each is a setting; all defaults are from memory.

    bags: the bags that the shop has. closing_cm: the length that closing a bag takes, 0 or more. most_layers: the
    most pieces one above another in a bag, 1 or more. Creating one raises ValueError outside these ranges.
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
            raise ValueError(f"{self.closing_cm}\u00a0cm for closing are not 0 or more")
        if self.most_layers < 1:
            raise ValueError(f"{self.most_layers} layers are not 1 or more")


@dataclass(frozen=True, slots=True)
class Bagging:
    """How pieces are bagged. bag: the bag to use. pieces_by_bag: the number of pieces in each bag, as even as
    possible, the fuller bags first."""

    bag: Bag
    pieces_by_bag: tuple[int, ...]

    @property
    def bags(self) -> int:
        return len(self.pieces_by_bag)


def pieces_side_by_side(opens_cm: float, width_cm: float) -> int:
    """Returns how many round pieces of this width fit beside one another into a bag that opens to this diameter.

    opens_cm, width_cm: in cm, above 0; raises ValueError otherwise. It fills rings from the wall inward, which is
    the most that fit up to nine; above nine, one or two more may sometimes fit. Source: geometry; Kravitz, Math.
    Magazine 40, 65 (1967), from memory.
    """
    if not (0.0 < opens_cm < math.inf and 0.0 < width_cm < math.inf):
        raise ValueError("bag and piece must be wider than 0")
    ratio, pieces = opens_cm / width_cm + ROUNDING, 0
    while ratio >= 2.0:
        pieces += math.floor(math.pi / math.asin(1.0 / (ratio - 1.0)) + ROUNDING)
        ratio -= 2.0
    return pieces + (1 if ratio >= 1.0 else 0)


def pieces_that_fit(bag: Bag, width_cm: float, height_cm: float, defaults: BagDefaults) -> int:
    """Returns how many pieces of this width and height, without ribbons, go into one bag; 0 when none does.

    Raises ValueError for a figure that is not above 0. Source: geometry.
    """
    if not 0.0 < height_cm < math.inf:
        raise ValueError(f"a height of {height_cm}\u00a0cm is not above 0")
    room = max(bag.length_cm - defaults.closing_cm, 0.0)
    layers = min(math.floor(room / height_cm + ROUNDING), defaults.most_layers)
    return layers * pieces_side_by_side(bag.opens_cm, width_cm)


def bag_up(pieces: int, width_cm: float, height_cm: float, defaults: BagDefaults) -> Bagging:
    """Returns the bagging of equal pieces that needs the fewest bags; of two that need as many, the smaller bag.

    pieces: 1 or more. width_cm, height_cm: of one piece without ribbons, above 0. Raises FitsNoBag when a piece
    goes into no bag, and ValueError for a figure outside its range. Source: geometry.
    """
    if pieces < 1:
        raise ValueError(f"{pieces} pieces are not 1 or more")
    fitting = [
        (bag, most) for bag in defaults.bags if (most := pieces_that_fit(bag, width_cm, height_cm, defaults))
    ]
    if not fitting:
        raise FitsNoBag(describe_no_bag(width_cm, height_cm, defaults.bags))
    bag, most = min(fitting, key=lambda pair: (math.ceil(pieces / pair[1]), pair[0].flat_cm * pair[0].length_cm))
    return Bagging(bag, _spread_evenly(pieces, math.ceil(pieces / most)))


def _spread_evenly(pieces: int, bags: int) -> tuple[int, ...]:
    """Returns the number of pieces in each bag, as even as possible, the fuller bags first."""
    each, over = divmod(pieces, bags)
    return (each + 1,) * over + (each,) * (bags - over)


def describe_no_bag(width_cm: float, height_cm: float, bags: Iterable[Bag]) -> str:
    """Returns the sentence for a piece of this width and height in cm that goes into none of the bags. Raises no
    errors."""
    piece = f"A piece {width_cm:.0f}\u00a0cm wide and {height_cm:.0f}\u00a0cm tall"
    known = list(bags)
    if not known:
        return f"{piece} needs a bag. Add bags under Office → Supplies."
    widest = max(known, key=lambda bag: bag.flat_cm)
    return (
        f"{piece} is too large for every bag. The widest opens to {widest.opens_cm:.0f}\u00a0cm and is"
        f" {widest.length_cm:g}\u00a0cm long."
    )
