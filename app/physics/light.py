"""This module calculates how light ages latex, whatever gas is in it: it dulls, weakens and bursts.

Each place has a limit of hours; shares of the limits add up over places, so that 3 h of sun and 12 h of shade are
the whole. It is not a question of helium, and a treatment does not help.
"""

from dataclasses import dataclass
from enum import StrEnum

from app.physics.balloon import Gas
from app.physics.material import Material

TWICE = 2.0


class Surroundings(StrEnum):
    INDOORS = "indoors"
    SHADE = "shade"
    SUN = "sun"

    @property
    def outdoors(self) -> bool:
        """Whether they are outdoors, in the shade or in the sun."""
        return self is not Surroundings.INDOORS


@dataclass(frozen=True, slots=True)
class LightLimits:
    """For how many hours latex is good. Each is a setting; the defaults are from memory.

    sun, shade: hours of daylight outdoors. air_indoors, helium_indoors: hours indoors, by the gas in it.
    """

    sun: float = 6.0
    shade: float = 24.0
    air_indoors: float = 120.0
    helium_indoors: float = 336.0

    def hours(self, where: Surroundings, gas: Gas) -> float:
        """Returns for how many hours latex with this gas is good there."""
        if where.outdoors:
            return self.sun if where is Surroundings.SUN else self.shade
        return self.air_indoors if gas is Gas.AIR else self.helium_indoors


def light_rate(material: Material, gas: Gas, where: Surroundings, limits: LightLimits) -> float:
    """Returns the share of the limit that an hour there uses up, outdoors an hour of daylight; 0 for a material
    that light does not age."""
    return 1.0 / limits.hours(where, gas) if material.traits.ages_in_light else 0.0
