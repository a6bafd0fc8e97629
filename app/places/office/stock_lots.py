"""Office: lots added, counted again, put away, put back and used up, each by one form on the article's page."""

from collections.abc import Callable, Mapping
from typing import Any

from flask import Blueprint, flash, request, session
from flask.wrappers import Response

from app.actions.errors import NotFound
from app.actions.stock.articles import Article
from app.actions.stock.deliveries import undo_arrival
from app.actions.stock.lots import Arrival, count_lot, load_lot, put_back, receive, set_aside, use_up
from app.places.office.stock_article import LOT_MESSAGE_KEY, article_page
from app.places.office.stock_drawn import drawn_lot
from app.places.office.stock_forms import AsideForm, CountForm, LotForm, ReceiveForm, UseForm, article_of
from app.places.office.stock_view import StockWords, address_of, catalogue_with
from app.quoting.catalogue import Catalogue
from app.quoting.errors import Problem, Refused
from app.store.models import Lot
from app.web.forms import read_id, sent_client_key
from app.web.htmx import see_other
from app.web.requests import request_context
from app.web.stored_form import StoredForm
from app.web.wording.stock import describe_article

NOTHING_DONE = (
    "Nothing was changed. This lot was counted or used after you opened the page. Check it and try again."
)


def register(office: Blueprint) -> None:
    """Registers what can be done with lots."""
    office.post("/stock/balloon-type/<int:balloon_type_id>")(receive_balloon_type)
    office.post("/stock/supply/<int:supply_id>")(receive_supply)
    office.post("/stock/lots/<int:lot_id>/<act>")(change_lot)


def receive_balloon_type(balloon_type_id: int) -> Response:
    """Saves a lot of a balloon type."""
    return _receive(Article(balloon_type_id=balloon_type_id))


def receive_supply(supply_id: int) -> Response:
    """Saves a lot of a supply."""
    return _receive(Article(supply_id=supply_id))


def _receive(article: Article) -> Response:
    """Saves a lot of the article."""
    here, catalogue, form = request_context(), catalogue_with(article), ReceiveForm(request.form)
    form.count.set_article(article, catalogue)
    if form.validate():
        try:
            lot = receive(here.context, _arrival(form, article, catalogue), sent_client_key())
            flash(
                f"{StockWords(catalogue).amount(lot.arrived, article)}"
                f" {describe_article(article, lot.colour, catalogue)} added."
            )
            return see_other(address_of(article))
        except Refused as refused:
            form.add_problems(refused.problems)
    return article_page(article, form)


def _arrival(form: ReceiveForm, article: Article, catalogue: Catalogue) -> Arrival:
    """Returns what came in, from pieces or from packs of today's size."""
    packs = form.packs.value_or_none
    count = form.count.value if packs is None else packs * article.pack_size(catalogue)
    return Arrival(article, form.colour.text, count, form.day.value)


def change_lot(lot_id: int, act: str) -> Response:
    """Does with the lot what was pressed."""
    lot = load_lot(request_context().session, lot_id)
    article = article_of(lot)
    if act not in ACTS:
        raise NotFound("That cannot be done with a lot.")
    form = FORMS.get(act, LotForm)(request.form, suffix=lot_id)
    stored = StoredForm(f"lot {lot_id}", lambda: drawn_lot(lot_id, lot.set_aside_why))
    try:
        form.prepare(lot)
        if stored.accepts(form):
            session[LOT_MESSAGE_KEY] = [lot_id, ACTS[act](lot, form)]
            stored.write_history()
            return see_other(f"{address_of(article)}#lot-{lot_id}")
    except Refused as refused:
        form.add_problems(refused.problems)
    if not form.shows_fields(lot):
        form.move_errors_to_form()
    return article_page(article, lot_form=form)


def _count(lot: Lot, form: Any) -> str:
    """Counts the lot again, and returns a sentence about it."""
    here, before, seen, counted = request_context(), lot.on_hand, form.seen_amount, form.count.value
    counts = read_id(form.counts.data)
    count_lot(here.context, lot.id, counted, form.why.text, seen, counts)
    if lot.on_hand == before:
        if counted != seen:
            raise _nothing_done()
        return f"{_lot_name(lot)}: still {_on_hand(lot)} on hand."
    return f"{_lot_name(lot)}: {_on_hand(lot)} on hand."


def _aside(lot: Lot, form: Any) -> str:
    """Puts the lot away, and returns a sentence about it."""
    set_aside(request_context().context, lot.id, form.why.text)
    return f"{_lot_name(lot)}: {_on_hand(lot)} put away. Orders no longer use this lot."


def _back(lot: Lot, _form: Any) -> str:
    """Puts the lot back, and returns a sentence about it."""
    put_back(request_context().session, lot.id)
    return f"{_lot_name(lot)}: {_on_hand(lot)} back in stock."


def _use(lot: Lot, form: Any) -> str:
    """Uses up some of the lot, and returns a sentence about it."""
    here, before = request_context(), lot.on_hand
    use_up(here.context, lot.id, form.used.value, form.seen_amount, form.why.text)
    if lot.on_hand == before:
        raise _nothing_done()
    return f"{_lot_name(lot)}: {_on_hand(lot)} left."


def _undo(lot: Lot, _form: Any) -> str:
    """Deletes a lot that did not come, and returns a sentence about it."""
    sentence = f"Undone: {_lot_name(lot)}."
    if row := undo_arrival(request_context().session, lot.id):
        packs = "1 pack is" if row.packs == 1 else f"{row.packs} packs are"
        return f"{sentence} {packs} on the way again."
    return sentence


def _nothing_done() -> Refused:
    """Returns the error for a press that changed nothing, because the page was old."""
    return Refused(Problem("stale", NOTHING_DONE))


FORMS: Mapping[str, type[LotForm]] = {"count": CountForm, "aside": AsideForm, "use": UseForm}
ACTS: Mapping[str, Callable[[Lot, Any], str]] = {
    "count": _count,
    "aside": _aside,
    "back": _back,
    "use": _use,
    "undo": _undo,
}


def _lot_name(lot: Lot) -> str:
    """Returns the lot in words: “red 11 in latex, lot of Fri 20 Nov”."""
    article = article_of(lot)
    stock_words = StockWords(catalogue_with(article))
    what = describe_article(article, lot.colour, stock_words.catalogue)
    return f"{what}, lot of {stock_words.day(lot.received_on)}"


def _on_hand(lot: Lot) -> str:
    """Returns what is left of the lot, with its unit."""
    article = article_of(lot)
    return StockWords(catalogue_with(article)).amount(lot.on_hand, article)
