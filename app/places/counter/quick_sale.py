"""Counter: a sale at once, in three presses: what, how many, sold."""

from dataclasses import dataclass

from flask import Blueprint, Response, make_response, redirect, request, url_for
from werkzeug.datastructures import MultiDict
from wtforms.validators import ValidationError

from app.actions.orders.quick_sale import QuickSaleOffer, make_quick_sale, offers, undo_quick_sale
from app.actions.records.orders import order_with_key
from app.physics.air import Air, volume_ratio
from app.physics.balloon import Gas
from app.physics.material import either
from app.places.counter.line_form import MOST_OF_A_LINE
from app.quoting.errors import Refused
from app.quoting.request import Service
from app.quoting.states import OrderState
from app.store.models import Order
from app.store.queries.sales import one_quick_sale, quick_sales_between
from app.web.days import read_day
from app.web.forms import read_id, read_whole, tap_key
from app.web.htmx import new_key, page_or_part
from app.web.requests import request_context
from app.web.wording.materials import MATERIAL_WORDS, filling_tip

QUICK = (1, 2, 3, 4, 5, 6, 8, 10, 12)
GROUPS = {
    Service.SOLD: "Balloons",
    Service.OWN: f"Own {either(lambda traits: traits.takes_own)}, filled",
    Service.TOP_UP: "Top-up",
}
COLDER = 15.0
"""°C between the shop and a cold way to it, for the words about a foil that only seems soft."""


Offers = dict[str, QuickSaleOffer]
"""By what their buttons send."""


@dataclass(frozen=True, slots=True)
class Choice:
    """What was pressed so far. wrong: a sentence about what, or about how many, and what was typed there."""

    offer: QuickSaleOffer | None = None
    quantity: int | None = None
    typed: str = ""
    wrong_what: str = ""
    wrong_quantity: str = ""

    @property
    def is_wrong(self) -> bool:
        return bool(self.wrong_what or self.wrong_quantity)


def register(counter: Blueprint) -> None:
    counter.get("/sale")(sale)
    counter.post("/sale")(sell)
    counter.post("/sale/<int:number>/take-back")(undo_sale)


def sale() -> Response:
    all_offers = _offers()
    choice, key = _read_choice(request.args, all_offers), request.args.get("key", "")[:64]
    if known := order_with_key(request_context().session, key) if key else None:
        return _page(Choice(), all_offers, (_sold_already(known),))
    return _page(choice, all_offers, status=422 if choice.is_wrong else 200, key=key)


def _sold_already(order: Order) -> str:
    """For who comes back to a choice that was sold: one more press there would say nothing, or sell twice."""
    line = order.lines[0]
    were = "was" if line.quantity == 1 else "were"
    end = ", and taken back" if order.state == OrderState.CANCELLED else ""
    told = f"{line.quantity} × {line.title} {were} sold a moment ago, as order {order.number}{end}"
    return f"{told}. Choose anew to sell more."


def sell() -> Response:
    here, all_offers = request_context(), _offers()
    choice = _read_choice(request.form, all_offers)
    if choice.offer is None or choice.quantity is None:
        missing = () if choice.is_wrong else ("What was sold, and how many? Choose both.",)
        return _page(choice, all_offers, missing, status=422)
    total = str(_total(choice))
    if request.form.get("total", total) != total:
        sentence = "The price was changed meanwhile: tell the customer the new one, then press Sold."
        return _page(choice, all_offers, (sentence,), status=422)
    line = choice.offer.times(choice.quantity)
    try:
        order = make_quick_sale(here.context, line, tap_key())
    except Refused as refused:
        return _page(choice, all_offers, _sentences(refused), status=422)
    return _described(order.number)


def _total(choice: Choice) -> int:
    """Minor units for what is chosen; 0 while something is missing."""
    if choice.offer is None or choice.quantity is None:
        return 0
    return choice.offer.total_minor(choice.quantity, request_context().shop.pricing.tax.tax)


def undo_sale(number: int) -> Response:
    here = request_context()
    try:
        undo_quick_sale(here.context, number)
    except Refused as refused:
        return _page(Choice(), _offers(), _sentences(refused), status=422)
    return _described(number)


def _described(number: int) -> Response:
    """To the page that tells of it, ready for the next; htmx follows by itself and swaps the fragment."""
    return make_response(redirect(url_for("counter.sale", sold=number), 303))


def _sentences(refused: Refused) -> tuple[str, ...]:
    return tuple(problem.sentence for problem in refused.problems)


def offer_key(offer: QuickSaleOffer) -> str:
    """What its button sends: “sold-4”, “air-4”, “own-12”, “top-up-12”."""
    return f"{'air' if offer.request.gas is Gas.AIR else offer.request.service}-{offer.balloon_type.id}"


def _offers() -> Offers:
    return {offer_key(offer): offer for offer in offers(request_context().shop, request_context().catalogue)}


def _read_choice(sent: "MultiDict[str, str]", all_offers: Offers) -> Choice:
    what, typed = sent.get("what", ""), sent.get("quantity", "").strip()[:20]
    offer = all_offers.get(what)
    wrong_what = "That is not sold at once any more: choose another." if what and offer is None else ""
    if not typed:
        return Choice(offer, wrong_what=wrong_what)
    try:
        return Choice(offer, read_whole(typed, 1, MOST_OF_A_LINE, "How many"), typed, wrong_what)
    except ValidationError as wrong:
        return Choice(offer, None, typed, wrong_what, str(wrong))


def _page(
    choice: Choice, all_offers: Offers, problems: tuple[str, ...] = (), status: int = 200, key: str = ""
) -> Response:
    """key: of the choice that its address carries, so that coming back to it sells nothing twice."""
    here = request_context()
    today = read_day(None, here.formats, here.now)
    return page_or_part(
        "counter/sale.html",
        "counter/_sale.html",
        status,
        choice=choice,
        total=_total(choice),
        tax_on_top=here.shop.pricing.tax.on_top,
        problems=problems,
        groups=[(label, _of_group(service, all_offers)) for service, label in GROUPS.items()],
        offer_key=offer_key,
        other_gas=_other_gas(choice.offer, all_offers),
        hints=_hints(choice.offer) if choice.offer else (),
        quick=QUICK,
        sold=one_quick_sale(here.session, read_id(request.args.get("sold"))),
        sales=quick_sales_between(here.session, today.start, today.end),
        client_key=key or new_key(),
        next_key=new_key(),
    )


def _of_group(service: Service, all_offers: Offers) -> list[QuickSaleOffer]:
    """A kind stands there once: with air only where it does not float."""
    mine = [offer for offer in all_offers.values() if offer.request.service is service]
    floats = {offer.balloon_type.id for offer in mine if offer.request.gas is Gas.HELIUM}
    return [offer for offer in mine if offer.request.gas is Gas.HELIUM or offer.balloon_type.id not in floats]


def _other_gas(offer: QuickSaleOffer | None, all_offers: Offers) -> QuickSaleOffer | None:
    if offer is None or offer.request.service is not Service.SOLD:
        return None
    return all_offers.get(f"{'sold' if offer.request.gas is Gas.AIR else 'air'}-{offer.balloon_type.id}")


def _hints(offer: QuickSaleOffer) -> tuple[str, ...]:
    """What to do and say while it is filled. Taut film, a week more, seconds of gas: common practice, no source."""
    formats, balloon_type = request_context().formats, offer.balloon_type
    material = balloon_type.material
    tip = filling_tip(material, offer.request.gas).capitalize()
    if offer.request.gas is Gas.AIR:
        return (f"{tip}; it does not float.",)
    safety = "Every helium balloon leaves on its weight. Never inhale helium."
    if offer.request.service is Service.TOP_UP:
        return (_cold_foil(offer), "A few seconds of gas, until taut; about a week more.", safety)
    how = f"{tip}: fill {MATERIAL_WORDS[material].filled}."
    return (how, f"Floats about {formats.hours(offer.hours)} indoors.", safety)


def _cold_foil(offer: QuickSaleOffer) -> str:
    """A foil from the cold has lost no gas. Charles's law."""
    shop, formats, litres = (
        request_context().shop.air,
        request_context().formats,
        offer.balloon_type.balloon_type.full_litres,
    )
    cold = Air(shop.celsius - COLDER, shop.elevation_m)
    warm, less = formats.warmth(shop.celsius), f"{litres * volume_ratio(shop, cold):.3g} L"
    return (
        f"From the cold? Let it warm first: {litres:.3g} L at {warm} are {less} at {formats.warmth(cold.celsius)},"
        " and come back by themselves."
    )
