"""The extras that the order form offers, with the shop's prices."""

from collections.abc import Iterator

from wtforms import SelectChoice

from app.places.counter.extras import BY_THE_FOOT
from app.places.counter.forms import OrderForm
from app.quoting.catalogue import Catalogue, Supply
from app.quoting.extras import VISITS, fee_of, price_of_one, sort_of
from app.quoting.policy import PricingPolicy
from app.quoting.request import FOOT_M, ExtraSort
from app.quoting.states import SupplySort
from app.store.models import Order, OrderExtra
from app.web.formats import Formats
from app.web.wording.stock import counting_unit, name_of_one, price_words

GROUPS = {ExtraSort.SUPPLY: "Sold with it", ExtraSort.RENTAL: "Rentals"}


def offer_extras(
    form: OrderForm, catalogue: Catalogue, pricing: PricingPolicy, formats: Formats, order: Order | None
) -> None:
    """Sets the choices of extras, and the shop's price beside each row. order: what it has already stays on
    offer."""
    choices, prices = extra_choices(catalogue, pricing, formats), _prices(catalogue, pricing, formats)
    offered = {choice.value for choice in choices}
    sold = {key_of(extra): extra.title for extra in order.extras} if order else {}
    for row in form.extras:
        chosen = row.form.what.data or ""
        gone = [] if chosen in offered else [SelectChoice(chosen, sold.get(chosen, "archived"))]
        row.form.what.choices = [*choices, *gone]
        row.form.usual = formats.amount(prices[chosen]) if chosen in prices else ""


def key_of(extra: OrderExtra) -> str:
    """Returns what a choice sends: “supply:3”, “supply:3:ft” if it is sold by the foot, “rental:4”, “delivery”."""
    if extra.supply_id is None:
        return extra.sort
    return f"{extra.sort}:{extra.supply_id}{BY_THE_FOOT if extra.of_one == FOOT_M else ''}"


def extra_choices(catalogue: Catalogue, pricing: PricingPolicy, formats: Formats) -> list[SelectChoice]:
    """Returns the extras as choices."""
    supplies = [
        SelectChoice(_key(row, formats), _label(row, formats), optgroup=group)
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


def _of_one(row: Supply, formats: Formats) -> float:
    """Returns how much of a supply one is, in the unit in which it is counted."""
    return counting_unit(row.unit, formats).size


def _key(row: Supply, formats: Formats) -> str:
    """Returns what the choice of a supply sends."""
    return f"{sort_of(row)}:{row.id}{BY_THE_FOOT if _of_one(row, formats) == FOOT_M else ''}"


def _label(row: Supply, formats: Formats) -> str:
    """Returns the label of a supply, with its price."""
    price = price_words(row.price_minor or 0, row.unit, formats)
    one = name_of_one(row.unit, formats)
    of_one = f" {'an' if one == 'mL' else 'a'} {one}" if one else ""
    deposit = f" · {formats.money(row.deposit_minor)} security deposit" if row.sort == SupplySort.RENTAL else ""
    return f"{row.name} · {price}{of_one}{deposit}"


def _prices(catalogue: Catalogue, pricing: PricingPolicy, formats: Formats) -> dict[str, int]:
    """Returns the price of each choice, in minor units."""
    supplies = {
        _key(row, formats): price_of_one(row.price_minor or 0, _of_one(row, formats)) for row in _sold(catalogue)
    }
    return supplies | {sort.value: fee_of(sort, pricing) for sort in VISITS}
