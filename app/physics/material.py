"""What balloons are made of, and what each material can do: everything that decides by the material asks its entry.

A further material is one member, its entry in TRAITS, the physics of its leak in `endurance.py` if that is a new
one, its words in `app/web/wording/materials.py`, and a migration of the store's check.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType


class Material(StrEnum):
    LATEX = "latex"
    FOIL = "foil"
    SPHERE = "sphere"

    @property
    def traits(self) -> "Traits":
        return TRAITS[self]


class Leak(StrEnum):
    """PERMEATION: helium goes through the stretched wall, so that the hours follow from mass, size and air. STEADY:
    film hardly lets it through; the hours are as stated, wherever it is."""

    PERMEATION = "permeation"
    STEADY = "steady"


class Tip(StrEnum):
    """The nozzle of the inflator through which a balloon is filled with helium. Common practice, no source."""

    LATEX = "latex"
    LATEX_MORE_PRESSURE = "latex, more pressure"
    FOIL_LOW_PRESSURE = "foil, low pressure"


@dataclass(frozen=True, slots=True)
class Traits:
    """What a material can do, and what is done with it. Where nothing else is said: common practice, no source.

    leak: how helium leaves it. tip: what helium goes through. measures: fields of `BalloonType` that describe it
    besides its size and mass. helium_measures: those that it cannot go without when it is filled with helium.

    stretches: it grows with its gas, so that it is filled to a diameter on the sizer; what does not stretch is
    filled to a share of its full litres. overpressure_pa: pascals above the room inside a filled one, 0 where
    nobody has measured it. ages_in_light: light dulls and weakens it, whatever gas is in it, until it bursts.

    is_tied: closed by a knot in its own neck, so that pairs and fours can be tied of it; else it is sealed.
    can_be_treated: a coat inside makes it float longer. bursts_in_filling: spares are laid out for what bursts.
    takes_own: the customer's own one can be filled. can_be_topped_up: one that came back soft can be filled again.
    can_be_stuffed: items can be put into it. stuffed_with_air_only: a stuffed one is too heavy for helium, and an
    air-only one is made to be stuffed. holds_water: a small one filled with water serves as a weight.

    is_topper: it stands on top of a bouquet and has a colour of its own there. comes_as_figures: it is also a
    number, so that a number among its colours may be a name. ages_in_stock: old ones are better not filled.
    conducts_electricity: its ribbon must not. offered_instead: it is offered in place of what sinks too soon.
    contains_latex: it harms people who are allergic to latex.
    """

    leak: Leak
    tip: Tip
    measures: frozenset[str]
    helium_measures: tuple[str, ...] = ()
    stretches: bool = False
    overpressure_pa: float = 0.0
    ages_in_light: bool = False
    is_tied: bool = False
    can_be_treated: bool = False
    bursts_in_filling: bool = False
    takes_own: bool = False
    can_be_topped_up: bool = False
    can_be_stuffed: bool = False
    stuffed_with_air_only: bool = False
    holds_water: bool = False
    is_topper: bool = False
    comes_as_figures: bool = False
    ages_in_stock: bool = False
    conducts_electricity: bool = False
    offered_instead: bool = False
    contains_latex: bool = False

    @property
    def hours_are_computed(self) -> bool:
        """Whether its hours follow from its mass and its size, so that a larger one floats longer and it is the
        first of a piece to sink; else they are stated."""
        return self.leak is Leak.PERMEATION

    def is_stuffed(self, *, air_only: bool) -> bool:
        """Whether a balloon type of it goes through the stuffing machine."""
        return self.stuffed_with_air_only and air_only

    def is_sized(self, *, air_only: bool) -> bool:
        """Whether a balloon type of it goes through the sizer; the stuffing machine stops by itself."""
        return self.stretches and not self.is_stuffed(air_only=air_only)

    def can_hold_items(self, *, air_only: bool) -> bool:
        """Whether items can be put into a balloon type of it."""
        return self.can_be_stuffed and (air_only or not self.stuffed_with_air_only)


TRAITS: Mapping[Material, Traits] = MappingProxyType(
    {
        Material.LATEX: Traits(
            leak=Leak.PERMEATION,
            tip=Tip.LATEX,
            measures=frozenset({"rated_in", "size_factor"}),
            stretches=True,
            # Source: Merritt & Weinhaus, Am. J. Phys. 46, 976 (1978), for the curve; the figure is from memory.
            overpressure_pa=3500.0,
            ages_in_light=True,
            is_tied=True,
            can_be_treated=True,
            bursts_in_filling=True,
            can_be_stuffed=True,
            stuffed_with_air_only=True,
            holds_water=True,
            ages_in_stock=True,
            contains_latex=True,
        ),
        Material.FOIL: Traits(
            leak=Leak.STEADY,
            tip=Tip.FOIL_LOW_PRESSURE,
            measures=frozenset({"helium_l", "median_hours"}),
            helium_measures=("helium_l", "median_hours"),
            takes_own=True,
            can_be_topped_up=True,
            is_topper=True,
            comes_as_figures=True,
            conducts_electricity=True,
            offered_instead=True,
        ),
        Material.SPHERE: Traits(
            leak=Leak.STEADY,
            tip=Tip.LATEX_MORE_PRESSURE,
            measures=frozenset({"helium_l", "median_hours"}),
            helium_measures=("helium_l", "median_hours"),
            takes_own=True,
            can_be_topped_up=True,
            can_be_stuffed=True,
            is_topper=True,
            offered_instead=True,
        ),
    }
)


def materials_that(can: Callable[[Traits], bool]) -> str:
    """“foil or sphere”: the materials that can, as a sentence names them; empty where none can."""
    *first, last = [material.value for material in Material if can(material.traits)] or [""]
    return f"{', '.join(first)} or {last}" if first else last
