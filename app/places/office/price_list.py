"""Office: the price lists, of balloon types and of supplies: which goods and columns they have, and how they are
saved."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, ClassVar

from sqlalchemy import select
from wtforms import ValidationError

from app.actions.catalogue import balloon_types as balloon_actions
from app.actions.catalogue import supplies as supply_actions
from app.places.office.balloon_types import MONEY, stored_balloon_type
from app.places.office.supplies import SupplyForm, stored_supply
from app.quoting.states import SupplySort, SupplyUnit
from app.store.models import BalloonTypeRow, SupplyRow
from app.store.queries.stock import all_supplies
from app.web.forms import CountedField, MoneyField, PriceOfOneField, ShopForm, WholeField
from app.web.requests import request_context
from app.web.wording.stock import COUNTED_IN, price_of_amount

Goods = BalloonTypeRow | SupplyRow


class BalloonPriceForm(ShopForm):
    """The prices of one balloon type."""

    field_names: ClassVar = MONEY

    pack_size = WholeField("Pack size", 1, 100_000)
    pack_cost = MoneyField("Cost of a pack")
    price = MoneyField("Price")
    treated = MoneyField("Treated", optional=True)
    fill = MoneyField("Filled only", optional=True)
    top_up = MoneyField("Top-up", optional=True)
    goods: BalloonTypeRow

    def uses_field(self, name: str) -> bool:
        """Returns whether the balloon type has this price."""
        traits = self.goods.material.traits
        asked = {"treated": traits.can_be_treated, "fill": traits.takes_own, "top_up": traits.can_be_topped_up}
        return name not in asked or (asked[name] and not self.goods.air_only)

    def validate_treated(self, field: Any) -> None:
        """Raises ValidationError if a treated one costs less than one that is not."""
        price, treated = self.price, field.value_or_none
        if treated is not None and not price.errors and treated < price.value:
            raise ValidationError(balloon_actions.TREATED_FOR_LESS)


class SupplyPriceForm(ShopForm):
    """The prices of one supply."""

    field_names: ClassVar = SupplyForm.field_names

    pack_size = CountedField("Pack size", 0.01, 100_000)
    pack_cost = MoneyField("Cost of a pack")
    price = PriceOfOneField("Price", optional=True)
    deposit = MoneyField("Security deposit")
    goods: SupplyRow

    def uses_field(self, name: str) -> bool:
        """Returns whether the supply has this price."""
        return name != "deposit" or self.goods.sort == SupplySort.RENTAL


@dataclass(frozen=True, slots=True)
class PriceList:
    """A page of prices. kind: the beginning of its endpoints; path: that of its address; subject: of its history;
    columns: what may be typed; calculated: what follows from it, by the column after which it stands. when_blank:
    what is charged where a column is blank. change: saves the prices of one and returns whether any is different;
    raises Refused."""

    kind: str
    path: str
    title: str
    goods_label: str
    subject: str
    columns: Mapping[str, str]
    calculated: Mapping[str, str]
    load: Callable[[], Sequence[Goods]]
    make_form: Callable[[Any, Any], Any]
    calculate: Callable[[Any], Mapping[str, str]]
    when_blank: Callable[[Any], Mapping[str, str]]
    change: Callable[[Any, Any], bool]
    recalculates: bool


def _balloon_types() -> list[BalloonTypeRow]:
    """Returns the balloon types that are sold, by size."""
    query = select(BalloonTypeRow).where(BalloonTypeRow.archived_at.is_(None))
    return [*request_context().session.scalars(query.order_by(BalloonTypeRow.nominal_in, BalloonTypeRow.name))]


def _balloon_form(row: BalloonTypeRow, sent: Any) -> BalloonPriceForm:
    """Returns the form of one balloon type, filled in with what is saved or sent."""
    amount = request_context().formats.amount
    texts: dict[str, Any] = {field: amount(getattr(row, name)) for name, field in MONEY.items()}
    form = BalloonPriceForm(sent, data=texts | {"pack_size": str(row.pack_size)}, suffix=row.id)
    form.goods = row
    return form


def _balloon_calculated(row: BalloonTypeRow) -> dict[str, str]:
    """Returns what follows from the prices of a balloon type."""
    formats = request_context().formats
    return {"pack_cost": formats.money_each(row.pack_minor, row.pack_size) if row.pack_minor else ""}


def _balloon_when_blank(form: BalloonPriceForm) -> dict[str, str]:
    """Returns what a balloon type costs where its own price is blank, by the column; nothing while the price from
    which that follows is wrong."""
    here = request_context()
    try:
        return {"treated": here.formats.amount(form.price.read(form.price.text) + here.shop.treat_minor)}
    except ValueError:
        return {}


def _change_balloon_type(row: BalloonTypeRow, form: BalloonPriceForm) -> bool:
    before = balloon_actions.figures_of(row)
    after = replace(
        before,
        pack_size=form.pack_size.value,
        pack_minor=form.pack_cost.value,
        price_minor=form.price.value,
        treated_minor=form.treated.value_or_none,
        fill_minor=form.fill.value_or_none,
        top_up_minor=form.top_up.value_or_none,
    )
    if after == before:
        return False
    stored = stored_balloon_type(row.id)
    stored.remember()
    balloon_actions.change_balloon_type(request_context().session, row.id, after)
    stored.write_history()
    return True


def _supplies() -> list[SupplyRow]:
    """Returns the supplies that are offered."""
    return [row for row in all_supplies(request_context().session) if row.archived_at is None]


def _supply_form(row: SupplyRow, sent: Any) -> SupplyPriceForm:
    """Returns the form of one supply, filled in with what is saved or sent."""
    amount = request_context().formats.amount
    texts = {
        "pack_size": row.pack_size,
        "pack_cost": amount(row.pack_minor),
        "price": row.price_minor,
        "deposit": amount(row.deposit_minor),
    }
    form = SupplyPriceForm(sent, data=texts, suffix=row.id)
    form.goods = row
    for field in (form.pack_size, form.price):
        field.set_unit(COUNTED_IN[SupplyUnit(row.unit)])
    return form


def _supply_calculated(row: SupplyRow) -> dict[str, str]:
    """Returns what follows from the prices of a supply."""
    if not row.pack_minor:
        return {"pack_cost": ""}
    unit, formats = SupplyUnit(row.unit), request_context().formats
    return {"pack_cost": price_of_amount(row.pack_minor, row.pack_size, unit, formats)}


def _change_supply(row: SupplyRow, form: SupplyPriceForm) -> bool:
    before = supply_actions.figures_of(row)
    after = replace(
        before,
        pack_size=form.pack_size.value,
        pack_minor=form.pack_cost.value,
        price_minor=form.price.value_or_none,
        deposit_minor=form.deposit.value_or_none or 0,
    )
    if after == before:
        return False
    stored = stored_supply(row.id)
    stored.remember()
    supply_actions.change_supply(request_context().session, row.id, after)
    stored.write_history()
    return True


PRICE_LISTS = (
    PriceList(
        "balloon_type",
        "balloon-types",
        "Prices of balloon types",
        "Balloon type",
        "balloon prices",
        {
            "pack_size": "Pack size",
            "pack_cost": "Cost of a pack",
            "price": "Price",
            "treated": "Treated",
            "fill": "Filled only",
            "top_up": "Top-up",
        },
        {"pack_cost": "Cost each"},
        _balloon_types,
        _balloon_form,
        _balloon_calculated,
        _balloon_when_blank,
        _change_balloon_type,
        recalculates=True,
    ),
    PriceList(
        "supply",
        "supplies",
        "Prices of supplies",
        "Supply",
        "supply prices",
        {
            "pack_size": "Pack size",
            "pack_cost": "Cost of a pack",
            "price": "Price",
            "deposit": "Security deposit",
        },
        {"pack_cost": "Cost each"},
        _supplies,
        _supply_form,
        _supply_calculated,
        lambda _form: {},
        _change_supply,
        recalculates=False,
    ),
)
