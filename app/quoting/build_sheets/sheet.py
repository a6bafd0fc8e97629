"""The parts of a build sheet that all constructions share: drawing and cut list, the weight that must hold it, and
what is wrong with it."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from app.craft.bouquet import Bouquet, Cut
from app.craft.build import Construction
from app.craft.drawing import Drawing
from app.craft.piece_steps import PieceStep
from app.quoting.build_sheets.bouquets import place_balloons
from app.quoting.build_sheets.input import BalloonGroup, BuildInput, BuildPlace
from app.quoting.shop import Shop


class Measure(StrEnum):
    """What a fact's number counts."""

    PLAIN = "plain"
    CM = "cm"
    M = "m"


@dataclass(frozen=True, slots=True)
class Fact:
    """A figure of the piece with its label."""

    label: str
    value: float | str
    measure: Measure = Measure.PLAIN


@dataclass(frozen=True, slots=True)
class RequiredWeight:
    """The least weight of one piece, whole grams. outdoors_g: in a steady wind of wind_m_s. at_venue_g: where it
    will be. each_end: whether it takes two such weights, one at each end."""

    indoors_g: int
    outdoors_g: int
    wind_m_s: float
    at_venue_g: int
    each_end: bool = False


@dataclass(frozen=True, slots=True)
class BuildSheet:
    """balloons_used: the balloons that the construction is made of. colours, films: the names of the colours in the
    drawing, by its colour_index and its film_index. size_cm: width and height; None if it is not
    bagged. steps: of putting it together, up to its weight."""

    drawing: Drawing | None = None
    balloons_used: tuple[BalloonGroup, ...] = ()
    colours: tuple[str, ...] = ()
    films: tuple[str, ...] = ()
    facts: tuple[Fact, ...] = ()
    cut_of: str = "ribbon"
    cuts: tuple[Cut, ...] = ()
    lift_g: float | None = None
    required_weight: RequiredWeight | None = None
    size_cm: tuple[float, float] | None = None
    cautions: tuple[str, ...] = ()
    steps: tuple[PieceStep, ...] = ()


class CannotBuild(ValueError):
    """The construction cannot be made of these balloons; the message is a sentence for a person."""


def sentence(told: str) -> str:
    """Returns the text with a capital letter and a full stop."""
    return f"{told[:1].upper()}{told[1:]}{'' if told.endswith('.') else '.'}"


def required_weight_of(calm: Bouquet, windy: Bouquet, build_place: BuildPlace, shop: Shop) -> RequiredWeight:
    """Returns the least weight of a bouquet, from its pull without wind and in wind."""
    indoors, outdoors = (bouquet.needed_weight_g(shop.outdoors.grip) for bouquet in (calm, windy))
    return RequiredWeight(
        indoors, outdoors, build_place.wind_m_s, outdoors if build_place.surroundings.outdoors else indoors
    )


def required_weight_of_all(
    balloons: Sequence[BalloonGroup], build_place: BuildPlace, shop: Shop
) -> RequiredWeight | None:
    """Returns the weight that must hold the helium balloons among them; None if there are none."""
    up = [group for group in balloons if group.rises]
    if not up:
        return None
    calm, windy = (
        place_balloons(Construction.STRINGS, up, build_place.air, shop, wind).bouquet
        for wind in (0.0, build_place.wind_m_s)
    )
    return required_weight_of(calm, windy, build_place, shop)


def largest_group(found: Sequence[BalloonGroup], none: str) -> BalloonGroup:
    """Returns the balloons of which there are most. Raises CannotBuild, with the sentence `none`, if there are no
    balloons."""
    if not found:
        raise CannotBuild(none)
    return max(found, key=lambda group: group.count)


def count_cautions(build_input: BuildInput, counted: int, taken: int, name: str) -> tuple[str, ...]:
    """Returns a caution if a piece takes another number of balloons than were counted for it."""
    if not build_input.has_final_counts or counted == taken:
        return ()
    if counted > taken:
        return (f"Fill all {counted}: the {name} takes {taken}, {counted - taken} stay spare.",)
    return (f"The {name} needs {taken} balloons: add {taken - counted} to its {counted}.",)
