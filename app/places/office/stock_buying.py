"""Office: what to buy before the next delivery day, and what is on its way."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from flask import Blueprint, flash, make_response, render_template, request, url_for
from flask.wrappers import Response

from app.actions.stock.articles import Article
from app.actions.stock.availability import Availability, load_availability
from app.actions.stock.buying import BuyingList, BuyingRow, TooLate, buying_list, cost_of
from app.actions.stock.deliveries import add_delivery, arrive, load_delivery, withdraw
from app.places.office import stock_withdrawn
from app.places.office.stock_drawn import (
    Key,
    SubmittedRow,
    drawn_name,
    may_order,
    stored_arrival,
    stored_orders,
    submitted_rows,
)
from app.places.office.stock_forms import ArrivalForm, BuyForm
from app.places.office.stock_view import StockWords, address_of, check_countable, colour_label
from app.quoting.catalogue import Catalogue
from app.quoting.errors import Problem, Refused
from app.store.queries.stock_pages import DeliveryLine, load_pending_deliveries
from app.web.forms import FormGroup, ShopForm
from app.web.htmx import new_key, see_other
from app.web.requests import request_context
from app.web.tables import csv_response
from app.web.wording.stock import arrival_sentence, describe_article

CSV_HEAD = ("item", "colour", "packs", "pack size", "unit", "quantity", "cost", "delivery day")
NOTHING_ORDERED = "Nothing was ordered. Choose a row, then try again."


@dataclass(frozen=True, slots=True)
class ShownRow:
    """A row of the buying list. colour: as packs say it. address: of the article's page."""

    row: BuyingRow
    colour: str
    label: str
    address: str
    form: BuyForm

    @property
    def what(self) -> str:
        """Its article in a form's field."""
        article = self.row.article
        return (
            f"balloon_type-{article.balloon_type_id}" if article.balloon_type_id else f"supply-{article.supply_id}"
        )


@dataclass(frozen=True, slots=True)
class ShownLate:
    """What will be short before a delivery can come."""

    late: TooLate
    label: str
    address: str


@dataclass(frozen=True, slots=True)
class ShownDelivery:
    """A delivery that is on its way."""

    row: DeliveryLine
    article: Article
    name: str
    address: str
    overdue: bool
    form: ArrivalForm


def register(office: Blueprint) -> None:
    """Registers the pages of buying."""
    office.get("/stock/buying")(buying)
    office.get("/stock/buying.csv")(buying_csv)
    office.post("/stock/buying")(save_ordered)
    office.post("/stock/deliveries/<int:delivery_id>/came")(save_arrival)
    office.post("/stock/deliveries/<int:delivery_id>/withdrawn")(withdraw_delivery)
    stock_withdrawn.register(office)


def buying() -> Response:
    """Shows what to buy."""
    return _buying_page()


def buying_csv() -> Response:
    """Returns the list as a table."""
    catalogue = request_context().catalogue
    availability = _availability(catalogue)
    return csv_response(
        "buying-list.csv", CSV_HEAD, _cells(_list(availability, catalogue), availability, catalogue)
    )


def _availability(catalogue: Catalogue) -> Availability:
    """Returns the stock at this moment."""
    here = request_context()
    return load_availability(here.context)


def _list(availability: Availability, catalogue: Catalogue) -> BuyingList:
    """Returns what to buy."""
    return buying_list(
        availability, catalogue, request_context().shop.stock_defaults, request_context().context.today
    )


def _cells(listed: BuyingList, availability: Availability, catalogue: Catalogue) -> Iterator[tuple[object, ...]]:
    """Yields a row for each article to buy."""
    for row in listed.rows:
        article = row.article
        cost = "" if row.minor is None else request_context().formats.table_amount(row.minor)
        yield (
            *(article.name(catalogue), colour_label(article, row.colour, availability), row.packs),
            *(f"{article.pack_size(catalogue):.10g}", article.unit(catalogue), f"{row.pieces:.10g}", cost),
            listed.first.isoformat(),
        )


def save_ordered() -> Response:
    """Saves one row as ordered, or all that were sent; “calculate” only calculates what other packs would cost."""
    sent, press = submitted_rows(), request.form.get("press", "")
    if press == "calculate":
        return _buying_page(sent)
    chosen = sent if press == "all" else [row for row in sent if row.form.meta.suffix == press]
    page_form, stored = ShopForm(), stored_orders(row.name for row in chosen)
    if not chosen:
        page_form.add_problems([Problem("press", NOTHING_ORDERED)])
    elif may_order(chosen, stored, page_form) and _save_rows(chosen, page_form):
        stored.write_history()
        flash(f"{len(chosen)} {'item' if len(chosen) == 1 else 'items'} marked as ordered.")
        return see_other(url_for("office.buying"))
    return _buying_page(sent, page_form, status=page_form.refused_status)


def _save_rows(rows: Sequence[SubmittedRow], page_form: ShopForm) -> bool:
    """Saves the rows, all or none, and returns whether they were saved.

    page_form: gets the problems that belong to no row."""
    saved = []
    with request_context().session.begin_nested() as block:  # either all rows are saved or none
        catalogue = request_context().catalogue
        for row in rows:
            check_countable(row.article, catalogue)
            saved.append(row.form.validate() and _save_row(row, page_form))
        if not all(saved):
            block.rollback()
    return all(saved)


def _save_row(row: SubmittedRow, page_form: ShopForm) -> bool:
    """Saves one row and returns whether it was saved."""
    here, article, form = request_context(), row.article, row.form
    colour = (form.colour.data or "").strip()
    packs, due_on = form.packs.value, form.due.value
    try:
        add_delivery(here.context, article, colour, packs, due_on, row.client_key)
    except Refused as refused:
        at_row = [one for one in refused.problems if one.field in ("packs", "due_on")]
        form.add_problems(at_row)
        page_form.add_problems(one for one in refused.problems if one not in at_row)
        return False
    return True


def save_arrival(delivery_id: int) -> Response:
    """Records that a delivery came."""
    here, catalogue = request_context(), request_context().catalogue
    row, form = load_delivery(here.session, delivery_id), ArrivalForm(request.form, suffix=delivery_id)
    form.count.set_article(Article(row.balloon_type_id or 0, row.supply_id or 0), catalogue)
    form.count.seen = row.pieces
    stored = stored_arrival(row)
    if stored.accepts(form):
        try:
            came = arrive(here.context, delivery_id, form.count.value)
            stored.write_history()
            flash(arrival_sentence(came, catalogue, here.formats))
            return see_other(url_for("office.buying"))
        except Refused as refused:
            form.add_problems(refused.problems)
    return _buying_page(arrival_form=form, status=form.refused_status)


def withdraw_delivery(delivery_id: int) -> Response:
    """Records that a delivery will not come."""
    try:
        row = withdraw(request_context().context, delivery_id)
    except Refused as refused:
        page_form = ShopForm()
        page_form.add_problems(refused.problems)
        return _buying_page((), page_form, status=422)
    article = Article(row.balloon_type_id or 0, row.supply_id or 0)
    flash(f"Delivery of {describe_article(article, row.colour, request_context().catalogue)} cancelled.")
    return see_other(url_for("office.buying", withdrawn=1))


def _buying_page(
    sent: Sequence[SubmittedRow] = (),
    page_form: ShopForm | None = None,
    arrival_form: ArrivalForm | None = None,
    status: int = 200,
) -> Response:
    """Returns the page.

    sent: rows as they were sent, with what is wrong in them. page_form: what is wrong with no row. arrival_form:
    what is wrong with a delivery.
    """
    here, catalogue, page_form = request_context(), request_context().catalogue, page_form or ShopForm()
    availability = _availability(catalogue)
    listed = _list(availability, catalogue)
    rows = list(_rows(listed, {one.key: one for one in sent}, availability))
    costs = [_cost(one, catalogue) for one in rows]
    deliveries = sorted(_deliveries(catalogue, arrival_form), key=lambda one: not one.overdue)
    if arrival_form and not any(one.form is arrival_form for one in deliveries):
        arrival_form.move_errors_to_form()
        page_form.form_errors += arrival_form.form_errors
        page_form.meanwhile = arrival_form.meanwhile
    page = render_template(
        "office/buying.html",
        listed=listed,
        rows=list(zip(rows, costs, strict=True)),
        total=sum(cost or 0 for cost in costs),
        is_all_priced=None not in costs,
        too_late=[_late(one, availability) for one in listed.too_late],
        on_their_way=deliveries,
        withdrawn=list(stock_withdrawn.withdrawn(catalogue)) if "withdrawn" in request.args else None,
        problems=FormGroup([("", page_form), *((one.label, one.form) for one in rows)]),
        page_form=page_form,
        drawn=stored_orders(drawn_name(row.row.article, row.row.colour) for row in rows).drawn,
        today=request_context().context.today,
        lead_days=here.shop.stock_defaults.lead_days,
        stock_words=StockWords(catalogue),
        key=request.form.get("client_key") or new_key(),
        counts_any=bool(availability.by_article),
    )
    return make_response(page, status)


def _rows(listed: BuyingList, sent: Mapping[Key, SubmittedRow], availability: Availability) -> Iterator[ShownRow]:
    """Yields the rows of the list as it is now. It may differ from the one that was sent; what was typed is then in
    the row that is left of it."""
    for place, row in enumerate(listed.rows):
        label, address = colour_label(row.article, row.colour, availability), address_of(row.article)
        form = BuyForm(data={"packs": str(row.packs), "due": listed.first}, suffix=place)
        if typed := sent.get((row.article, row.colour)):
            for field, was in ((form.packs, typed.form.packs), (form.due, typed.form.due)):
                field.data, field.errors = was.data, was.errors
        said = availability.colour(row.article, row.colour) if row.colour else ""
        yield ShownRow(row, said, label, address, form)


def _cost(one: ShownRow, catalogue: Catalogue) -> int | None:
    """Returns the cost of the packs in the field; None if they cannot be read."""
    typed = one.form.packs.text
    packs = int(typed) if typed.isdecimal() and len(typed) < 6 else one.row.packs
    return cost_of(one.row.article, packs, catalogue)


def _late(one: TooLate, availability: Availability) -> ShownLate:
    """Returns what will be short, in words."""
    return ShownLate(one, colour_label(one.article, one.colour, availability), address_of(one.article))


def _deliveries(catalogue: Catalogue, arrival_form: ArrivalForm | None) -> Iterator[ShownDelivery]:
    """Yields the deliveries on their way."""
    here = request_context()
    for row in load_pending_deliveries(here.session):
        article = Article(row.balloon_type_id or 0, row.supply_id or 0)
        name = describe_article(article, row.colour, catalogue)
        is_coming = arrival_form is not None and arrival_form.meta.suffix == str(row.id)
        expecting = ArrivalForm.expecting(row.pieces, article, catalogue, row.id)
        form = arrival_form if arrival_form and is_coming else expecting
        yield ShownDelivery(row, article, name, address_of(article), row.due_on < here.context.today, form)
