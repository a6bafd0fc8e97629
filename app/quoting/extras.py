"""Extras: supplies sold or rented along with the lines, visits, and what the counter names itself."""

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from app.quoting.catalogue import Catalogue, Supply
from app.quoting.errors import NO_LONGER_SOLD, Problem, Refused
from app.quoting.policy import PricingPolicy
from app.quoting.request import FOOT_M, ExtraRequest, ExtraSort
from app.quoting.shop import Shop
from app.quoting.states import SupplyUnit

VISITS = {ExtraSort.DELIVERY: "Delivery", ExtraSort.SET_UP: "Set-up", ExtraSort.TAKE_DOWN: "Take-down"}
NO_NAME_OR_PRICE = "Enter a name and a price."
NO_OWN_PRICE = "{name} has no price of its own. Enter one, or remove it."


@dataclass(frozen=True, slots=True)
class SoldExtra:
    """An extra as sold. deposit_minor: of one that is rented, given back with it."""

    request: ExtraRequest
    title: str
    unit_minor: int
    deposit_minor: int = 0

    @property
    def total_minor(self) -> int:
        """The price of all of it."""
        return self.request.quantity * self.unit_minor


def sell_extra(
    request: ExtraRequest,
    index: int,
    catalogue: Catalogue,
    shop: Shop,
    agreed_deposits: Mapping[int, int],
    existing: Collection[int],
) -> SoldExtra:
    """Returns the extra with its title and price.

    agreed_deposits: security deposits that the order has already, by supply. existing: supplies among its extras,
    archived or not. Raises
    Refused at the extra's field.
    """
    if request.sort in (ExtraSort.SUPPLY, ExtraSort.RENTAL):
        return _sell_supply(request, index, catalogue, agreed_deposits, existing)
    if request.sort is ExtraSort.OTHER:
        if not request.title or request.unit_minor is None:
            raise Refused(_problem(index, NO_NAME_OR_PRICE))
        return SoldExtra(request, request.title, request.unit_minor)
    fee = fee_of(request.sort, shop.pricing) if request.unit_minor is None else request.unit_minor
    return SoldExtra(request, VISITS[request.sort], fee)


def fee_of(visit: ExtraSort, pricing: PricingPolicy) -> int:
    """Returns the shop's price of one of the VISITS."""
    return {
        ExtraSort.DELIVERY: pricing.delivery_minor,
        ExtraSort.SET_UP: pricing.set_up_minor,
        ExtraSort.TAKE_DOWN: pricing.take_down_minor,
    }[visit]


def price_of_one(minor: int, of_one: float) -> int:
    """Returns the price of so much of a supply whose unit costs this, in minor units, rounded half up; at least 1
    unless the supply is free."""
    return max(min(minor, 1), math.floor(minor * of_one + 0.5))


def list_price(extra: SoldExtra, catalogue: Catalogue, shop: Shop) -> int:
    """Returns the shop's own price of one, in minor units; the price as sold if the shop has none."""
    if extra.request.sort in VISITS:
        return fee_of(extra.request.sort, shop.pricing)
    row = catalogue.supplies.get(extra.request.supply_id or 0)
    if row is None or row.price_minor is None:
        return extra.unit_minor
    return price_of_one(row.price_minor, extra.request.of_one)


def _sell_supply(
    request: ExtraRequest,
    index: int,
    catalogue: Catalogue,
    agreed_deposits: Mapping[int, int],
    existing: Collection[int],
) -> SoldExtra:
    """Returns a supply that is sold or rented. Raises Refused."""
    row = catalogue.supplies.get(request.supply_id or 0)
    if row is None or (row.archived_at is not None and row.id not in existing):
        raise Refused(_problem(index, NO_LONGER_SOLD))
    price = request.unit_minor
    if price is None:
        if row.price_minor is None:
            raise Refused(_problem(index, NO_OWN_PRICE.format(name=row.name)))
        price = price_of_one(row.price_minor, request.of_one)
    rentals = sort_of(row) is ExtraSort.RENTAL
    deposit = agreed_deposits.get(row.id, row.deposit_minor) if rentals else 0
    return SoldExtra(replace(request, sort=sort_of(row)), _title(row, request.of_one), price, deposit)


def _title(row: Supply, of_one: float) -> str:
    """Returns the name of a supply, and the length of which the price is."""
    if row.unit != SupplyUnit.METRE:
        return row.name
    return f"{row.name}, by the {'foot' if of_one == FOOT_M else 'metre'}"


def sort_of(supply: Supply) -> ExtraSort:
    """Returns whether the supply is rented or sold."""
    return ExtraSort.RENTAL if supply.sort == "rental" else ExtraSort.SUPPLY


def _problem(index: int, sentence: str) -> Problem:
    """Returns a problem at the extra."""
    return Problem(f"extras.{index}.what", sentence)


def with_saved_prices(requested: Sequence[ExtraRequest], saved: Sequence[ExtraRequest]) -> tuple[ExtraRequest, ...]:
    """Returns the extras that are asked for, at the saved prices if no price was typed."""
    prices = [one.unit_minor for one in saved] + [None] * len(requested)
    return tuple(
        replace(one, unit_minor=price if one.unit_minor is None else one.unit_minor)
        for one, price in zip(requested, prices, strict=False)
    )
