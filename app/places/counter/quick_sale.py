"""Counter: a quick sale in three presses: what, how many, sold."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from flask import Blueprint, Response, make_response, redirect, request, url_for
from wtforms.validators import ValidationError

from app.actions.orders.quick_sale import QuickSaleOffer, make_quick_sale, offers, undo_quick_sale
from app.actions.records.orders import order_with_key
from app.physics.air import Air, volume_ratio
from app.physics.balloon import Gas
from app.physics.material import materials_that
from app.places.counter.line_form import MOST_OF_A_LINE
from app.quoting.errors import Refused
from app.quoting.request import Service
from app.quoting.states import OrderState
from app.store.models import Order
from app.store.queries.sales import one_quick_sale, quick_sales_between
from app.web.days import read_shop_day
from app.web.forms import ShopForm, TextField, WholeField, read_id, sent_client_key
from app.web.htmx import new_key, page_or_part
from app.web.requests import request_context
from app.web.wording.materials import MATERIAL_WORDS, nozzle_name

QUICK_QUANTITIES = (1, 2, 3, 4, 5, 6, 8, 10, 12)
GROUPS = {
    Service.SOLD: "Balloons",
    Service.OWN: f"Customer's own {materials_that(lambda traits: traits.takes_own)}",
    Service.TOP_UP: "Top-up",
}
MOST_TYPED = 20
"""The most characters of a number."""
COLD_FOIL_DROP_C = 15.0
"""How many °C colder it is outdoors, for the sentence about a foil that only seems soft."""
NO_QUICK_SALE = "This is no longer sold as a quick sale. Choose something else."
CHOOSE_BOTH = "Choose a balloon and a number."
PRICE_CHANGED = "The price has changed. Tell the customer the new price, then press Save sale."


class SaleForm(ShopForm):
    """What was pressed so far."""

    what = TextField("What")
    quantity = WholeField("How many", 1, MOST_OF_A_LINE, optional=True)

    offers: Mapping[str, QuickSaleOffer] = MappingProxyType({})
    """The offers that may be chosen, by what their buttons send."""

    @property
    def offer(self) -> QuickSaleOffer | None:
        """What was chosen; None if nothing is."""
        return self.offers.get(self.what.data or "")

    @property
    def count(self) -> int | None:
        """How many were chosen; None if no number is."""
        return self.quantity.value_or_none

    def validate_what(self, field: Any) -> None:
        if field.data and self.offer is None:
            raise ValidationError(NO_QUICK_SALE)

    def validate(self, extra_validators: Any = None) -> bool:
        """Returns whether the form is valid. Until something is chosen, the page has no field for the number."""
        is_valid = bool(super().validate(extra_validators))
        if self.offer is None:
            self.form_errors += self.quantity.errors
            self.quantity.errors = []
        return is_valid


def register(counter: Blueprint) -> None:
    """Registers the pages of the quick sale."""
    counter.get("/quick-sale")(quick_sale)
    counter.post("/quick-sale")(save_quick_sale)
    counter.post("/quick-sale/<int:number>/undo")(undo_sale)


def quick_sale() -> Response:
    """Shows the quick sale."""
    form, key = _form(request.args), request.args.get("key", "")[:64]
    if known := order_with_key(request_context().session, key) if key else None:
        return _page(_form(), already=_already_sold_sentence(known))
    return _page(form, 200 if form.validate() else 422, key)


def _already_sold_sentence(order: Order) -> str:
    """Returns a sentence for somebody who comes back to a choice that was sold; without it one more press would say
    nothing, or sell twice."""
    line = order.lines[0]
    act = "This sale was undone" if order.state == OrderState.CANCELLED else "This is already sold"
    return f"{act}: {line.quantity} × {line.title}, order {order.number}. Choose again to sell more."


def save_quick_sale() -> Response:
    """Saves the sale."""
    here, form = request_context(), _form(request.form)
    if not form.validate():
        return _page(form, 422)
    if form.offer is None or form.count is None:
        form.form_errors.append(CHOOSE_BOTH)
        return _page(form, 422)
    total = str(_total(form))
    if request.form.get("total", total) != total:
        form.form_errors.append(PRICE_CHANGED)
        return _page(form, 422)
    line = form.offer.times(form.count)
    try:
        order = make_quick_sale(here.context, line, sent_client_key())
    except Refused as refused:
        form.add_problems(refused.problems)
        return _page(form, 422)
    return _redirect_to_sale(order.number)


def _total(form: SaleForm) -> int:
    """Returns the price in minor units of what is chosen; 0 while something is missing."""
    if form.offer is None or form.count is None:
        return 0
    return form.offer.total_minor(form.count, request_context().shop.pricing.tax.tax)


def undo_sale(number: int) -> Response:
    """Undoes a sale."""
    here, form = request_context(), _form()
    try:
        undo_quick_sale(here.context, number)
    except Refused as refused:
        form.add_problems(refused.problems)
        return _page(form, 422)
    return _redirect_to_sale(number)


def _redirect_to_sale(number: int) -> Response:
    """Returns a redirect to the page that describes the sale, ready for the next. htmx follows it by itself and
    swaps the fragment."""
    return make_response(redirect(url_for("counter.quick_sale", sold=number), 303))


def offer_key(offer: QuickSaleOffer) -> str:
    """Returns what the offer's button sends: “sold-4”, “air-4”, “own-12”, “top-up-12”."""
    return f"{'air' if offer.request.gas is Gas.AIR else offer.request.service}-{offer.balloon_type.id}"


def _form(sent: Any = None) -> SaleForm:
    """Returns the form with its choices."""
    form = SaleForm(sent)
    form.offers = {offer_key(offer): offer for offer in offers(request_context().shop, request_context().catalogue)}
    form.quantity.data = form.quantity.text[:MOST_TYPED]
    return form


def _page(form: SaleForm, status: int = 200, key: str = "", already: str = "") -> Response:
    """Returns the page.

    key: of the choice that its address carries, so that coming back to it sells nothing twice. already: a sentence
    about a sale that was made before.
    """
    here = request_context()
    if form.count in QUICK_QUANTITIES:
        form.quantity.data = ""  # so that its button is marked
    today = read_shop_day(None, here)
    return page_or_part(
        "counter/quick_sale.html",
        "counter/_quick_sale.html",
        status,
        form=form,
        total=_total(form),
        tax_on_top=here.shop.pricing.tax.on_top,
        already=already,
        groups=[(label, _of_group(service, form.offers)) for service, label in GROUPS.items()],
        offer_key=offer_key,
        other_gas=_other_gas(form.offer, form.offers),
        hints=_hints(form.offer) if form.offer else {},
        quick=QUICK_QUANTITIES,
        sold=one_quick_sale(here.session, read_id(request.args.get("sold"))),
        sales=quick_sales_between(here.session, today.start, today.end),
        client_key=key or new_key(),
        next_key=new_key(),
    )


def _of_group(service: Service, all_offers: Mapping[str, QuickSaleOffer]) -> list[QuickSaleOffer]:
    """Returns the offers of a group. Each balloon type is in it once: with air only if it does not float."""
    mine = [offer for offer in all_offers.values() if offer.request.service is service]
    floats = {offer.balloon_type.id for offer in mine if offer.request.gas is Gas.HELIUM}
    return [offer for offer in mine if offer.request.gas is Gas.HELIUM or offer.balloon_type.id not in floats]


def _other_gas(offer: QuickSaleOffer | None, all_offers: Mapping[str, QuickSaleOffer]) -> QuickSaleOffer | None:
    """Returns the same balloon with the other gas; None if it is not offered."""
    if offer is None or offer.request.service is not Service.SOLD:
        return None
    return all_offers.get(f"{'sold' if offer.request.gas is Gas.AIR else 'air'}-{offer.balloon_type.id}")


def _hints(offer: QuickSaleOffer) -> dict[str, str]:
    """Returns what to do and say while it is filled, by name. Taut film, a week more, seconds of gas: common
    practice, no source."""
    formats, balloon_type = request_context().formats, offer.balloon_type
    material = balloon_type.material
    tip = nozzle_name(material, offer.request.gas).capitalize()
    if offer.request.gas is Gas.AIR:
        return {"air": f"{tip}. It does not float."}
    safety = "Put every helium balloon on a weight. Never inhale helium."
    if offer.request.service is Service.TOP_UP:
        more = "Fill for a few seconds, until taut. It floats about a week more."
        return {"cold": _cold_foil(offer), "seconds": more, "safety": safety}
    how = f"{tip}: fill {MATERIAL_WORDS[material].fill_instruction}."
    return {"fill": how, "hours": f"It floats about {formats.hours(offer.hours)} indoors.", "safety": safety}


def _cold_foil(offer: QuickSaleOffer) -> str:
    """Returns the hint about a foil balloon that comes from the cold, which has lost no gas. Charles's law."""
    shop, formats, litres = (
        request_context().shop.air,
        request_context().formats,
        offer.balloon_type.balloon_type.full_litres,
    )
    cold = Air(shop.celsius - COLD_FOIL_DROP_C, shop.elevation_m)
    warm, less = formats.temperature(shop.celsius), f"{formats.number(litres * volume_ratio(shop, cold), 1)} L"
    return (
        f"If it comes from the cold, let it warm up first: {formats.number(litres, 1)} L at {warm}"
        f" shrink to {less} at {formats.temperature(cold.celsius)}."
    )
