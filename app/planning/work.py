"""How long the bench needs: hand-seconds by size, gas and treatment, and the tail of an order.

The defaults are common practice of one person at one filling point, no source; each is a setting.
"""

from dataclasses import dataclass
from datetime import timedelta

from app.physics.balloon import Gas
from app.physics.endurance import Filling
from app.physics.material import Material

STUFFING = "stuffing"


@dataclass(frozen=True, slots=True)
class WorkTimes:
    """prepare_minutes: once per batch. handle_seconds: size, tie and ribbon one balloon. seal_seconds: the same for
    foil and sphere. treat_seconds: coat one before filling. stuff_seconds: put the items into one. *_l_per_s: flow
    of a filling point. finishing_minutes: weights, assembly and bagging, once per order. drying_minutes: treated,
    before bagging."""

    prepare_minutes: float = 4.0
    handle_seconds: float = 36.0
    seal_seconds: float = 45.0
    treat_seconds: float = 20.0
    stuff_seconds: float = 240.0
    helium_l_per_s: float = 3.0
    air_l_per_s: float = 5.0
    finishing_minutes: float = 10.0
    drying_minutes: float = 120.0

    def l_per_s(self, gas: Gas) -> float:
        return self.helium_l_per_s if gas is Gas.HELIUM else self.air_l_per_s


def fill_seconds(litres: float, l_per_s: float) -> float:
    """While the gas flows, without handling: at a steady flow time is in proportion to volume (computed)."""
    return litres / l_per_s


def timed_flow(litres: float, fills: int, seconds: float) -> float:
    """Litres per second, from so many fills of so many litres each that took so many seconds in all: one timing
    gives every size. Raises ValueError unless all are above 0."""
    if not (litres > 0 and fills > 0 and seconds > 0):
        raise ValueError("a flow needs litres, fills and seconds above 0")
    return litres * fills / seconds


def seconds_per_balloon(filling: Filling, work_times: WorkTimes) -> float:
    """Hand-seconds for one balloon: volume over a steady flow, and the handling."""
    traits = filling.balloon_type.material.traits
    handling = work_times.handle_seconds if traits.is_tied else work_times.seal_seconds
    treating = work_times.treat_seconds if filling.treated else 0.0
    is_stuffed = traits.is_stuffed(air_only=filling.balloon_type.air_only)
    stuffing = work_times.stuff_seconds if is_stuffed else 0.0
    flowing = fill_seconds(filling.litres, work_times.l_per_s(filling.gas))
    return flowing + handling + treating + stuffing


def filling_point(material: Material, gas: Gas, *, air_only: bool) -> str:
    """Where it is filled: at the points of a gas, or at the stuffing machine."""
    return STUFFING if material.traits.is_stuffed(air_only=air_only) else gas.value


def batch_work(filling: Filling, quantity: int, work_times: WorkTimes) -> timedelta:
    """Work of a batch at one hand, in whole minutes rounded up. Raises ValueError for a negative quantity."""
    if quantity < 0:
        raise ValueError("a batch cannot hold fewer than no balloons")
    seconds = work_times.prepare_minutes * 60 + quantity * seconds_per_balloon(filling, work_times)
    return timedelta(minutes=-(-seconds // 60))


def finishing_work(assembly_minutes: float, work_times: WorkTimes) -> timedelta:
    """The order's tail after its last fill, putting designs together included; whole minutes, rounded up."""
    return timedelta(minutes=-(-(work_times.finishing_minutes + assembly_minutes) // 1))


def drying(filling: Filling, work_times: WorkTimes) -> timedelta:
    return timedelta(minutes=work_times.drying_minutes if filling.treated else 0.0)
