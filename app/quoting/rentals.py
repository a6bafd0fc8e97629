"""Which items of an order are rented, and the trip on which a crew fetches them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from app.quoting.extras import SoldExtra
from app.quoting.parts import SoldLine
from app.quoting.request import ExtraSort
from app.quoting.shop import TripDefaults


@dataclass(frozen=True, slots=True)
class RentalItem:
    """All of one supply together. deposit_minor: of one, given back with it."""

    supply_id: int
    name: str
    quantity: int
    deposit_minor: int


def rental_items(
    lines: Iterable[SoldLine], extras: Iterable[SoldExtra], agreed_deposits: Mapping[int, int]
) -> tuple[RentalItem, ...]:
    """Returns the rented items of an order.

    agreed_deposits: security deposits that the order has already, by supply; for other supplies the largest deposit
    that is asked.
    """
    designed = (
        RentalItem(one.supply_id, one.name, int(one.of_one * line.request.quantity), one.deposit_minor)
        for line in lines
        for one in line.recipe.supplies
        if one.sort == "rental"
    )
    added = (
        RentalItem(extra.request.supply_id or 0, extra.title, extra.request.quantity, extra.deposit_minor)
        for extra in extras
        if extra.request.sort is ExtraSort.RENTAL
    )
    together: dict[int, RentalItem] = {}
    for good in (*designed, *added):
        before = together.get(good.supply_id, RentalItem(good.supply_id, good.name, 0, 0))
        deposit = agreed_deposits.get(good.supply_id, max(before.deposit_minor, good.deposit_minor))
        together[good.supply_id] = RentalItem(good.supply_id, good.name, before.quantity + good.quantity, deposit)
    return tuple(good for good in together.values() if good.quantity)


@dataclass(frozen=True, slots=True)
class TakeDownTrip:
    """When a crew leaves the bench and is back, and how many people it is."""

    leaves_at: datetime
    let_in: datetime
    ends_at: datetime
    back_at: datetime
    staff: int


def take_down_trip_of(let_in: datetime, travel_minutes: int, crew: int, usual: TripDefaults) -> TakeDownTrip:
    """Returns the trip; 0 minutes or people stand for the shop's default."""
    travel = timedelta(minutes=travel_minutes or usual.venue_travel_minutes)
    ends = let_in + timedelta(minutes=usual.take_down_minutes)
    return TakeDownTrip(let_in - travel, let_in, ends, ends + travel, crew or usual.crew)
