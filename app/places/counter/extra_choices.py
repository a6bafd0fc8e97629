"""The extras that the order form offers, with the shop's prices."""

from collections.abc import Iterator

from wtforms import SelectChoice

from app.places.counter.forms import OrderForm
from app.quoting.catalogue import Catalogue, Supply
from app.quoting.extras import VISITS, fee_of, sort_of
from app.quoting.policy import PricingPolicy
from app.quoting.request import ExtraSort
from app.quoting.states import SupplySort, SupplyUnit
from app.store.models import Order, OrderExtra
from app.web.formats import Formats

GROUPS = {ExtraSort.SUPPLY: "Sold with it", ExtraSort.RENTAL: "Rentals"}


def offer_extras(
    form: OrderForm, catalogue: Catalogue, pricing: PricingPolicy, formats: Formats, order: Order | None
) -> None:
    """Sets the choices of extras, and the shop's price beside each row. order: what it has already stays on
    offer."""
    choices, prices = extra_choices(catalogue, pricing, formats), _prices(catalogue, pricing)
    offered = {choice.value for choice in choices}
    sold = {key_of(extra): extra.title for extra in order.extras} if order else {}
    for row in form.extras:
        chosen = row.form.what.data or ""
        gone = [] if chosen in offered else [SelectChoice(chosen, sold.get(chosen, "archived"))]
        row.form.what.choices = [*choices, *gone]
        row.form.usual = formats.amount(prices[chosen]) if chosen in prices else ""


def key_of(extra: OrderExtra) -> str:
    """Returns what a choice sends: “supply:3”, “rental:4”, “delivery”."""
    return extra.sort if extra.supply_id is None else f"{extra.sort}:{extra.supply_id}"


def extra_choices(catalogue: Catalogue, pricing: PricingPolicy, formats: Formats) -> list[SelectChoice]:
    """Returns the extras as choices."""
    supplies = [
        SelectChoice(_key(row), _label(row, formats), optgroup=group)
        for sort, group in GROUPS.items()
        for row in _sold(catalogue)
        if sort_of(row) is sort
    ]
    visits = [
        SelectChoice(sort.value, f"{title} · {formats.money(fee_of(sort, pricing))}", optgroup="Visits")
        for sort, title in VISITS.items()
    ]
    own = SelectChoice(ExtraSort.OTHER.value, "Other", optgroup="Other")
    return [SelectChoice("", "Choose …"), *supplies, *visits, own]


def _sold(catalogue: Catalogue) -> Iterator[Supply]:
    """Yields the supplies that are sold or rented as extras."""
    return (row for row in catalogue.supplies.values() if row.archived_at is None and row.price_minor is not None)


def _key(row: Supply) -> str:
    """Returns what the choice of a supply sends."""
    return f"{sort_of(row)}:{row.id}"


def _label(row: Supply, formats: Formats) -> str:
    """Returns the label of a supply, with its price."""
    of_one = "" if row.unit == SupplyUnit.PIECE else f" a {row.unit}"
    deposit = f" · {formats.money(row.deposit_minor)} security deposit" if row.sort == SupplySort.RENTAL else ""
    return f"{row.name} · {formats.money(row.price_minor or 0)}{of_one}{deposit}"


def _prices(catalogue: Catalogue, pricing: PricingPolicy) -> dict[str, int]:
    """Returns the price of each choice, in minor units."""
    supplies = {_key(row): row.price_minor or 0 for row in _sold(catalogue)}
    return supplies | {sort.value: fee_of(sort, pricing) for sort in VISITS}
