"""Add-ons: supplies sold or hired beside the lines, visits, and what the counter names itself."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from app.actions.errors import Problem, Refused
from app.actions.records.shop import Goods, Shop
from app.quoting.policy import Till
from app.quoting.request import ExtraSort, ExtraWish
from app.store.models import OrderExtra, Supply

VISITS = {ExtraSort.DELIVERY: "Delivery", ExtraSort.SET_UP: "Set-up", ExtraSort.TAKE_DOWN: "Take-down"}


@dataclass(frozen=True, slots=True)
class SoldExtra:
    """deposit_minor: of one that is hired, given back with it."""

    wish: ExtraWish
    title: str
    unit_minor: int
    deposit_minor: int = 0

    @property
    def total_minor(self) -> int:
        return self.wish.quantity * self.unit_minor


def sell_extra(
    wish: ExtraWish, place: int, goods: Goods, shop: Shop, agreed: Mapping[int, int], had: Collection[int]
) -> SoldExtra:
    """agreed: deposits that the order has already, by supply. had: supplies among its add-ons, retired or not.
    Raises Refused, at the add-on's field."""
    if wish.sort in (ExtraSort.SUPPLY, ExtraSort.HIRE):
        return _sell_supply(wish, place, goods, agreed, had)
    if wish.sort is ExtraSort.OTHER:
        if not wish.title or wish.unit_minor is None:
            raise Refused(_problem(place, "Say what it is, and its price."))
        return SoldExtra(wish, wish.title, wish.unit_minor)
    fee = fee_of(wish.sort, shop.till) if wish.unit_minor is None else wish.unit_minor
    return SoldExtra(wish, VISITS[wish.sort], fee)


def fee_of(visit: ExtraSort, till: Till) -> int:
    """The shop's price of one of the VISITS."""
    return {
        ExtraSort.DELIVERY: till.delivery_minor,
        ExtraSort.SET_UP: till.set_up_minor,
        ExtraSort.TAKE_DOWN: till.take_down_minor,
    }[visit]


def _sell_supply(
    wish: ExtraWish, place: int, goods: Goods, agreed: Mapping[int, int], had: Collection[int]
) -> SoldExtra:
    row = goods.supplies.get(wish.supply_id or 0)
    if row is None or (row.retired_at is not None and row.id not in had):
        raise Refused(_problem(place, "The shop no longer has this: choose another."))
    price = row.price_minor if wish.unit_minor is None else wish.unit_minor
    if price is None:
        raise Refused(_problem(place, f"{row.name} has no price by itself: give it one, or leave it out."))
    hired = sort_of(row) is ExtraSort.HIRE
    deposit = agreed.get(row.id, row.deposit_minor) if hired else 0
    return SoldExtra(replace(wish, sort=sort_of(row)), row.name, price, deposit)


def sort_of(supply: Supply) -> ExtraSort:
    return ExtraSort.HIRE if supply.sort == "hired" else ExtraSort.SUPPLY


def _problem(place: int, sentence: str) -> Problem:
    return Problem(f"extras.{place}.what", sentence)


def extra_row(extra: SoldExtra, place: int) -> OrderExtra:
    """The add-on for the store."""
    return OrderExtra(
        position=place,
        sort=extra.wish.sort,
        supply_id=extra.wish.supply_id,
        title=extra.title,
        quantity=extra.wish.quantity,
        unit_minor=extra.unit_minor,
        deposit_minor=extra.deposit_minor,
    )


def wish_of_extra(row: OrderExtra) -> ExtraWish:
    """With the price as it was sold."""
    sort = ExtraSort(row.sort)
    return ExtraWish(
        sort, row.quantity, row.supply_id, row.title if sort is ExtraSort.OTHER else "", row.unit_minor
    )


def priced_as(wished: Sequence[ExtraWish], kept: Sequence[ExtraWish]) -> tuple[ExtraWish, ...]:
    """What was wished, at the kept prices where none was named."""
    prices = [one.unit_minor for one in kept] + [None] * len(wished)
    return tuple(
        replace(one, unit_minor=price if one.unit_minor is None else one.unit_minor)
        for one, price in zip(wished, prices, strict=False)
    )
