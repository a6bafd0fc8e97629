"""Office: lots received, counted anew, set aside, put back and used up, each by one form on the article's page."""

import re
from collections.abc import Mapping

from flask import Blueprint, flash, request, session
from flask.wrappers import Response

from app.actions.errors import NotFound
from app.actions.stock.articles import Article
from app.actions.stock.deliveries import undo_arrival
from app.actions.stock.lots import MOST, Arrival, count_lot, load_lot, put_back, receive, set_aside, use_up
from app.places.office.stock_amounts import TypedAmounts
from app.places.office.stock_article import SAID, article_page
from app.places.office.stock_view import Says, address_of, countable
from app.quoting.catalogue import Catalogue
from app.quoting.errors import Problem, Refused
from app.store.models import Lot
from app.web.forms import read_id, tap_key
from app.web.htmx import see_other
from app.web.requests import request_context
from app.web.wording.stock import named

NAMES = {"aside": {"why": "why-aside"}, "use": {"count": "used", "why": "why-used"}, "undo": {"lot": "stale"}}
"""Of the fields of a lot's other forms, where they are called otherwise than in the action."""
NOTHING_DONE = "Nothing was changed: somebody has counted or taken of it since the page was drawn. Look again."


def register(office: Blueprint) -> None:
    office.post("/stock/balloon-type/<int:balloon_type_id>")(receive_balloon_type)
    office.post("/stock/supply/<int:supply_id>")(receive_supply)
    office.post("/stock/lots/<int:lot_id>/<act>")(do_with_lot)


def receive_balloon_type(balloon_type_id: int) -> Response:
    return _receive(Article(balloon_type_id=balloon_type_id))


def receive_supply(supply_id: int) -> Response:
    return _receive(Article(supply_id=supply_id))


def _receive(article: Article) -> Response:
    here, catalogue = request_context(), countable(article)
    try:
        lot = receive(
            here.context,
            _arrival(article, catalogue),
            tap_key(),
        )
    except Refused as refused:
        return article_page(article, refused)
    flash(f"{Says(catalogue).amount(lot.arrived, article)} {named(article, lot.colour, catalogue)} received.")
    return see_other(address_of(article))


def _arrival(article: Article, catalogue: Catalogue) -> Arrival:
    """In pieces, or in packs as the kind or supply is bought now. Raises Refused."""
    typed = TypedAmounts(request.form, request_context().formats.decimals)
    count = packs = 0.0
    if typed.text("packs") and typed.text("count"):
        raise Refused(Problem("packs", "Either so many, or so many packs: leave one empty."))
    if typed.text("packs"):
        packs = typed.whole("packs", 1, 10_000, "Packs")
    elif article.balloon_type_id:
        count = typed.pieces("count", 1, "How many came")
    else:
        count = typed.amount("count", 0.01)
    day = typed.day("day")
    typed.check()
    return Arrival(article, typed.text("colour"), count or packs * article.pack_size(catalogue), day)


def do_with_lot(lot_id: int, act: str) -> Response:
    lot = load_lot(request_context().session, lot_id)
    article = Article(lot.balloon_type_id or 0, lot.supply_id or 0)
    if act not in ACTS:
        raise NotFound("There is no such thing to do with a lot.")
    try:
        session[SAID] = [lot_id, ACTS[act](lot, _of_lot(lot_id))]
    except Refused as refused:
        return article_page(article, refused, lot_id, NAMES.get(act, {}))
    return see_other(f"{address_of(article)}#lot-{lot_id}")


def _of_lot(lot_id: int) -> Mapping[str, str]:
    """Its form's fields under their plain names."""
    return {name.removesuffix(f"-{lot_id}"): text for name, text in request.form.items()}


def _count(lot: Lot, sent: Mapping[str, str]) -> str:
    here, typed = request_context(), TypedAmounts(sent, request_context().formats.decimals)
    counted = typed.pieces("count", 0, "How many are there") if lot.balloon_type_id else typed.amount("count", 0)
    typed.check()
    before = lot.on_hand
    seen, counts = _seen(sent), read_id(sent.get("counts"))
    count_lot(here.context, lot.id, counted, sent.get("why", ""), seen, counts)
    if lot.on_hand == before:
        if counted != seen:
            raise _nothing_done()
        return f"{_says(lot)} as before."
    return f"{_says(lot)} now."


def _aside(lot: Lot, sent: Mapping[str, str]) -> str:
    set_aside(request_context().context, lot.id, sent.get("why-aside", ""))
    return f"{_says(lot)}, set aside: nothing of it is promised or filled any more."


def _back(lot: Lot, _sent: Mapping[str, str]) -> str:
    put_back(request_context().session, lot.id)
    return f"{_says(lot)}, back with the others."


def _use(lot: Lot, sent: Mapping[str, str]) -> str:
    here, typed = request_context(), TypedAmounts(sent, request_context().formats.decimals)
    used = typed.part_of("used", lot.on_hand if lot.on_hand == _seen(sent) else MOST)
    typed.check()
    before = lot.on_hand
    use_up(here.context, lot.id, used, _seen(sent), sent.get("why-used", ""))
    if lot.on_hand == before:
        raise _nothing_done()
    return f"{_says(lot)} left."


def _undo(lot: Lot, _sent: Mapping[str, str]) -> str:
    told = _says(lot)
    if row := undo_arrival(request_context().session, lot.id):
        packs = "1 pack is" if row.packs == 1 else f"{row.packs} packs are"
        return f"{told} did not come: {packs} on the way again."
    return f"{told} did not come: the lot is gone."


def _nothing_done() -> Refused:
    return Refused(Problem("stale", NOTHING_DONE))


ACTS = {"count": _count, "aside": _aside, "back": _back, "use": _use, "undo": _undo}


def _says(lot: Lot) -> str:
    article = Article(lot.balloon_type_id or 0, lot.supply_id or 0)
    says = Says(countable(article))
    what = named(article, lot.colour, says.catalogue)
    return f"{what} of {says.day(lot.received_on)}: {says.amount(lot.on_hand, article)}"


def _seen(sent: Mapping[str, str]) -> float:
    """Raises Refused."""
    text = sent.get("seen", "")
    if not re.fullmatch(r"-?[0-9]{1,9}(\.[0-9]{1,20})?", text):
        raise Refused(Problem("count", "That came without what the page showed: reload it."))
    return float(text)
