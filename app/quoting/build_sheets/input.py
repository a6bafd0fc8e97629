"""What one piece of a line is made of: its balloons as they are filled, how it is put together, and where it will
be."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from app.craft.build import Build
from app.craft.garland import largest_remainders
from app.physics.air import Air
from app.physics.balloon import Gas
from app.physics.endurance import Filling
from app.physics.light import Surroundings
from app.quoting.recipe import SoldSupply


@dataclass(frozen=True, slots=True)
class BalloonGroup:
    """Balloons of one piece that are all filled the same way. size_in: on the sizer. colours: names with their
    counts."""

    filling: Filling
    size_in: float
    colours: tuple[tuple[str, int], ...]

    @property
    def count(self) -> int:
        """The number of balloons."""
        return sum(count for _, count in self.colours)

    @property
    def rises(self) -> bool:
        """Whether they are filled with helium."""
        return self.filling.gas is Gas.HELIUM

    @property
    def is_topper(self) -> bool:
        """Whether they go on top of a bouquet."""
        return self.filling.balloon_type.material.traits.is_topper

    @property
    def is_stuffed(self) -> bool:
        """Whether only the stuffing machine fills them."""
        balloon_type = self.filling.balloon_type
        return balloon_type.material.traits.is_stuffed(air_only=balloon_type.air_only)

    @property
    def is_tied(self) -> bool:
        """Whether they are tied by their necks, as fours are."""
        return self.filling.balloon_type.material.traits.is_tied


@dataclass(frozen=True, slots=True)
class StuffedItem:
    """What goes into a stuffed balloon. width_cm: pressed together; None if nobody entered it."""

    name: str
    width_cm: float | None


@dataclass(frozen=True, slots=True)
class BuildInput:
    """quantity: how many identical pieces. items: to be stuffed in. has_final_counts: whether the balloons were
    counted already; else as many are meant as it takes. needs_chosen_weight: whether a weight belongs among its
    supplies."""

    title: str
    quantity: int
    build: Build
    balloons: tuple[BalloonGroup, ...]
    supplies: tuple[SoldSupply, ...] = ()
    items: tuple[StuffedItem, ...] = ()
    steps: tuple[str, ...] = ()
    has_final_counts: bool = True
    needs_chosen_weight: bool = True

    @property
    def outer(self) -> BalloonGroup | None:
        """The balloon that the others go into when the piece is stuffed: the largest; None if there is none."""
        return max(self.balloons, key=lambda group: group.filling.balloon_type.nominal_in, default=None)

    @property
    def item_names(self) -> tuple[str, ...]:
        """The names of the items, the largest first; one of unknown width is assumed to be the largest."""
        return tuple(item.name for item in sorted(self.items, key=lambda item: -(item.width_cm or math.inf)))


@dataclass(frozen=True, slots=True)
class BuildPlace:
    """Where a piece will be. air: the air there. wind_m_s: as typed for outdoors, else the shop's limit.
    is_built_there: whether a crew builds it there, so that nothing is tagged, bagged and put away."""

    air: Air
    surroundings: Surroundings
    wind_m_s: float
    is_built_there: bool = False


def colours_per_piece(colours: Mapping[str, int], quantity: int) -> tuple[tuple[str, int], ...]:
    """Returns the colours of one of so many pieces; if they do not share out evenly, as near as whole balloons
    come."""
    each = sum(colours.values()) // quantity
    if not each:
        return ()
    counts = largest_remainders(each, tuple(colours.values()))
    return tuple((name, count) for name, count in zip(colours, counts, strict=True) if count)


def colour_names(balloons: Iterable[BalloonGroup]) -> tuple[str, ...]:
    """Returns the colours of what is not a topper, each once, in the order of the balloons."""
    return tuple(dict.fromkeys(name for group in balloons if not group.is_topper for name, _ in group.colours))


def film_names(balloons: Iterable[BalloonGroup]) -> tuple[str, ...]:
    """Returns the colours of the toppers, each once, in the order of the balloons."""
    return tuple(dict.fromkeys(name for group in balloons if group.is_topper for name, _ in group.colours))
