"""What any form comes to: its drawing and cut list, what must hold it, and what is wrong with it."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from app.craft.bouquet import Bouquet, Cut
from app.craft.build import Construction
from app.craft.drawing import Drawing
from app.quoting.build_sheets.bouquets import stand
from app.quoting.build_sheets.input import BalloonGroup, BuildInput, BuildPlace
from app.quoting.shop import Shop


class Measure(StrEnum):
    """What a fact's number counts."""

    PLAIN = "plain"
    CM = "cm"
    M = "m"


@dataclass(frozen=True, slots=True)
class Fact:
    label: str
    value: float | str
    measure: Measure = Measure.PLAIN


@dataclass(frozen=True, slots=True)
class Need:
    """The least weight of one piece, whole grams. outdoors_g: in a steady wind of wind_m_s. here_g: where it will
    be. each_end: two such weights, one at each end."""

    indoors_g: int
    outdoors_g: int
    wind_m_s: float
    here_g: int
    each_end: bool = False


@dataclass(frozen=True, slots=True)
class BuildSheet:
    """in_it: the balloons that the form is made of. size_cm: width and height, where it is bagged."""

    drawing: Drawing | None = None
    in_it: tuple[BalloonGroup, ...] = ()
    colours: tuple[str, ...] = ()
    facts: tuple[Fact, ...] = ()
    cut_of: str = "ribbon"
    cuts: tuple[Cut, ...] = ()
    lift_g: float | None = None
    need: Need | None = None
    size_cm: tuple[float, float] | None = None
    cautions: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()


class Misfit(ValueError):
    """The balloons are none that the form is made of; the message is a sentence for a person."""


def sentence(told: str) -> str:
    return f"{told[:1].upper()}{told[1:]}{'' if told.endswith('.') else '.'}"


def need_of(calm: Bouquet, windy: Bouquet, scene: BuildPlace, shop: Shop) -> Need:
    indoors, outdoors = (bouquet.needed_weight_g(shop.outdoors.grip) for bouquet in (calm, windy))
    return Need(indoors, outdoors, scene.wind_m_s, outdoors if scene.where.outdoors else indoors)


def need_of_all(balloons: Sequence[BalloonGroup], scene: BuildPlace, shop: Shop) -> Need | None:
    """What must hold the helium balloons among them; None where there are none."""
    up = [alike for alike in balloons if alike.rises]
    if not up:
        return None
    calm, windy = (
        stand(Construction.STRINGS, up, scene.there, shop, wind).bouquet for wind in (0.0, scene.wind_m_s)
    )
    return need_of(calm, windy, scene, shop)


def most_of(found: Sequence[BalloonGroup], none: str) -> BalloonGroup:
    """The balloons of which there are most. Raises Misfit where there are none."""
    if not found:
        raise Misfit(none)
    return max(found, key=lambda alike: alike.count)


def miscounted(making: BuildInput, there: int, taken: int, name: str) -> tuple[str, ...]:
    """A sentence where a piece takes another number of balloons than were counted for it."""
    if not making.counted or there == taken:
        return ()
    return (f"The {name} takes {taken} balloons; there are {there}.",)
