"""This module calculates how long the bench needs for a batch and for the finishing of an order.

Work is measured in hand-seconds: the seconds that one person needs. The defaults are common practice of one person
at one filling point, without a source; each is a setting.
"""

from dataclasses import dataclass
from datetime import timedelta

from app.physics.balloon import Gas
from app.physics.endurance import Filling
from app.physics.material import Material

STUFFING = "stuffing"


@dataclass(frozen=True, slots=True)
class WorkTimes:
    """How long each step of the work takes in this shop.

    prepare_minutes: to prepare a batch, once.
    handle_seconds: to size one latex balloon, tie it and put its ribbon on.
    seal_seconds: the same for one foil or sphere.
    treat_seconds: to coat one balloon before it is filled.
    stuff_seconds: to put the items into one stuffed balloon.
    helium_l_per_s, air_l_per_s: the flow of one filling point, in litres per second.
    finishing_minutes: for weights, assembly and bagging, once per order.
    drying_minutes: how long treated balloons dry before they are bagged.
    """

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
        """Returns the flow of one filling point for this gas, in litres per second."""
        return self.helium_l_per_s if gas is Gas.HELIUM else self.air_l_per_s


def fill_seconds(litres: float, l_per_s: float) -> float:
    """Returns the seconds for which the gas flows into one balloon, without handling.

    litres: the gas, above 0. l_per_s: litres per second, above 0. Source: at a steady flow, time is in proportion
    to volume.
    """
    return litres / l_per_s


def timed_flow(litres: float, fills: int, seconds: float) -> float:
    """Returns the litres per second of a filling point that filled this many balloons, of this many litres each, in
    this many seconds together.

    The flow from one timing holds for every size. Raises ValueError unless all three are above 0.
    """
    if not (litres > 0 and fills > 0 and seconds > 0):
        raise ValueError("a flow needs litres, fills and seconds above 0")
    return litres * fills / seconds


def seconds_per_balloon(filling: Filling, work_times: WorkTimes) -> float:
    """Returns the hand-seconds for one balloon: the flow of its gas, handling, treatment and stuffing."""
    traits = filling.balloon_type.material.traits
    handling = work_times.handle_seconds if traits.is_tied else work_times.seal_seconds
    treating = work_times.treat_seconds if filling.treated else 0.0
    is_stuffed = traits.is_stuffed(air_only=filling.balloon_type.air_only)
    stuffing = work_times.stuff_seconds if is_stuffed else 0.0
    flowing = fill_seconds(filling.litres, work_times.l_per_s(filling.gas))
    return flowing + handling + treating + stuffing


def filling_point(material: Material, gas: Gas, *, air_only: bool) -> str:
    """Returns the key of the filling points where it is filled: those of its gas, or those of the stuffing
    machine."""
    return STUFFING if material.traits.is_stuffed(air_only=air_only) else gas.value


def batch_work(filling: Filling, quantity: int, work_times: WorkTimes) -> timedelta:
    """Returns how long one person needs for a batch, in whole minutes rounded up.

    Raises ValueError for a negative quantity.
    """
    if quantity < 0:
        raise ValueError("a batch cannot hold fewer than no balloons")
    seconds = work_times.prepare_minutes * 60 + quantity * seconds_per_balloon(filling, work_times)
    return timedelta(minutes=-(-seconds // 60))


def finishing_work(assembly_minutes: float, work_times: WorkTimes) -> timedelta:
    """Returns how long one person needs for an order's finishing, in whole minutes rounded up.

    It includes assembly_minutes, the time for putting designs together.
    """
    return timedelta(minutes=-(-(work_times.finishing_minutes + assembly_minutes) // 1))


def drying(filling: Filling, work_times: WorkTimes) -> timedelta:
    """Returns how long this balloon must dry after filling: nothing unless it is treated."""
    return timedelta(minutes=work_times.drying_minutes if filling.treated else 0.0)
