"""Office: what to buy before the next delivery day, and what is on its way."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from flask import Blueprint, flash, make_response, render_template, request, url_for
from flask.wrappers import Response

from app.actions.stock.articles import Article, colour_key
from app.actions.stock.availability import Availability, load_availability
from app.actions.stock.buying import BuyingList, BuyingRow, TooLate, buying_list, cost_of
from app.actions.stock.deliveries import DeliveryArrival, add_delivery, arrive, load_delivery, withdraw
from app.places.office import stock_withdrawn
from app.places.office.stock_forms import BuyForm, CameForm
from app.places.office.stock_view import Says, address_of, colour_label, known_article
from app.quoting.catalogue import Catalogue
from app.quoting.errors import Problem, Refused
from app.store.queries.stock_pages import DeliveryLine, goods_on_their_way
from app.web.forms import FormsTogether, ShopForm, read_id, tap_key
from app.web.htmx import new_key, see_other
from app.web.requests import request_context
from app.web.tables import csv_answer
from app.web.wording.stock import named

CSV_HEAD = ("article", "colour", "packs", "pack of", "unit", "in all", "cost", "due")
MOST_ROWS = 500
Key = tuple[Article, str]


@dataclass(frozen=True, slots=True)
class ShownRow:
    """A row of the list. colour: as packs say it."""

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
    form: CameForm


def register(office: Blueprint) -> None:
    """Registers the pages of buying."""
    office.get("/stock/buying")(buying)
    office.get("/stock/buying.csv")(buying_csv)
    office.post("/stock/buying")(save_ordered)
    office.post("/stock/deliveries/<int:delivery_id>/came")(it_came)
    office.post("/stock/deliveries/<int:delivery_id>/withdrawn")(it_will_not_come)
    stock_withdrawn.register(office)


def buying() -> Response:
    """Shows what to buy."""
    return _buying_page()


def buying_csv() -> Response:
    """Returns the list as a table."""
    catalogue = request_context().catalogue
    availability = _availability(catalogue)
    return csv_answer("buying-list.csv", CSV_HEAD, _cells(_list(availability, catalogue), availability, catalogue))


def _availability(catalogue: Catalogue) -> Availability:
    """Returns the stock at this moment."""
    here = request_context()
    return load_availability(here.context)


def _list(availability: Availability, catalogue: Catalogue) -> BuyingList:
    """Returns what to buy."""
    return buying_list(availability, catalogue, request_context().shop.on_hand, request_context().context.today)


def _cells(listed: BuyingList, availability: Availability, catalogue: Catalogue) -> Iterator[tuple[object, ...]]:
    """Yields a row for each article to buy."""
    for row in listed.rows:
        article = row.article
        cost = "" if row.minor is None else request_context().formats.amount(row.minor)
        yield (
            *(article.name(catalogue), colour_label(article, row.colour, availability), row.packs),
            *(f"{article.pack_size(catalogue):.10g}", article.unit(catalogue), f"{row.pieces:.10g}", cost),
            listed.first.isoformat(),
        )


def save_ordered() -> Response:
    """Saves one row as ordered, or all that were sent; “reckon” only calculates what other packs would cost."""
    sent, press = _rows_sent(), request.form.get("press", "")
    if press == "reckon":
        return _buying_page(sent)
    chosen = sent if press == "all" else [row for row in sent if row.form.meta.at == press]
    above = ShopForm()
    if not chosen:
        above.say([Problem("press", "Nothing was chosen: look at the list again.")])
    elif _note(chosen, above):
        flash(f"{len(chosen)} {'row is' if len(chosen) == 1 else 'rows are'} on the way.")
        return see_other(url_for("office.buying"))
    return _buying_page(sent, above, status=422)


@dataclass(frozen=True, slots=True)
class Sent:
    """A row as the form sent it."""

    article: Article
    form: BuyForm

    @property
    def key(self) -> Key:
        """The article and colour by which the row is found again."""
        return self.article, colour_key(self.form.colour.data or "")


def _rows_sent() -> list[Sent]:
    """Returns the rows that were sent."""
    places = range(min(MOST_ROWS, read_id(request.form.get("rows"))))
    return [Sent(_article_of(form), form) for form in (BuyForm(request.form, at=place) for place in places)]


def _article_of(form: BuyForm) -> Article:
    """Returns the article that the form names."""
    sort, _, number = (form.what.data or "").partition("-")
    return (
        Article(balloon_type_id=read_id(number)) if sort == "balloon_type" else Article(supply_id=read_id(number))
    )


def _note(rows: Sequence[Sent], above: ShopForm) -> bool:
    """Saves the rows, all or none, and returns whether they were saved. above: gets the problems that belong to no
    row."""
    noted = []
    with request_context().session.begin_nested() as block:  # either all rows are saved or none
        catalogue = request_context().catalogue
        for row in rows:
            known_article(row.article, catalogue)
            noted.append(row.form.validate() and _note_one(row, above))
        if not all(noted):
            block.rollback()
    return all(noted)


def _note_one(row: Sent, above: ShopForm) -> bool:
    """Saves one row and returns whether it was saved."""
    here, article, form = request_context(), row.article, row.form
    colour = (form.colour.data or "").strip()
    packs, due_on = form.packs.value, form.due.value
    try:
        key = f"{tap_key()} {article.balloon_type_id} {article.supply_id} {colour_key(colour)}"
        add_delivery(here.context, article, colour, packs, due_on, key)
    except Refused as refused:
        at_row = [one for one in refused.problems if one.field in ("packs", "due_on")]
        form.say(at_row)
        above.say(one for one in refused.problems if one not in at_row)
        return False
    return True


def it_came(delivery_id: int) -> Response:
    """Records that a delivery came."""
    here, catalogue = request_context(), request_context().catalogue
    row, form = load_delivery(here.session, delivery_id), CameForm(request.form, at=delivery_id)
    form.count.be_of(whole=row.balloon_type_id is not None)
    if form.validate():
        try:
            came = arrive(here.context, delivery_id, form.count.value)
            flash(_came_words(came, catalogue))
            return see_other(url_for("office.buying"))
        except Refused as refused:
            form.say(refused.problems)
    return _buying_page(coming=form, status=422)


def _came_words(came: DeliveryArrival, catalogue: Catalogue) -> str:
    """Returns in words what came, with what is missing and what becomes of that."""
    lot, says = came.lot, Says(catalogue)
    article = Article(lot.balloon_type_id or 0, lot.supply_id or 0)
    told = f"{says.amount(lot.arrived, article)} {named(article, lot.colour, catalogue)} came: a lot now."
    if came.rest:
        packs = "1 pack is" if came.rest.packs == 1 else f"{came.rest.packs} packs are"
        return f"{told} {packs} missing and still on the way: press “It will not come” below if nothing more does."
    if came.short:
        short = says.amount(came.short, article)
        return f"{told} That is {short} fewer than ordered, less than a pack: no more is awaited."
    return told


def it_will_not_come(delivery_id: int) -> Response:
    """Records that a delivery will not come."""
    try:
        row = withdraw(request_context().context, delivery_id)
    except Refused as refused:
        above = ShopForm()
        above.say(refused.problems)
        return _buying_page((), above, status=422)
    article = Article(row.balloon_type_id or 0, row.supply_id or 0)
    flash(f"{named(article, row.colour, request_context().catalogue)} will not come.")
    return see_other(url_for("office.buying", withdrawn=1))


def _buying_page(
    sent: Sequence[Sent] = (), above: ShopForm | None = None, coming: CameForm | None = None, status: int = 200
) -> Response:
    """Returns the page.

    sent: rows as they were sent, with what is wrong in them. above: what is wrong with no row. coming: what is
    wrong with a delivery.
    """
    here, catalogue, above = request_context(), request_context().catalogue, above or ShopForm()
    availability = _availability(catalogue)
    listed = _list(availability, catalogue)
    rows = list(_rows(listed, {one.key: one for one in sent}, availability))
    costs = [_cost(one, catalogue) for one in rows]
    deliveries = sorted(_deliveries(catalogue, coming), key=lambda one: not one.overdue)
    if coming and not any(one.form is coming for one in deliveries):
        coming.take_off_fields()
        above.form_errors += coming.form_errors
    page = render_template(
        "office/buying.html",
        listed=listed,
        rows=list(zip(rows, costs, strict=True)),
        total=sum(cost or 0 for cost in costs),
        is_all_priced=None not in costs,
        too_late=[_late(one, availability) for one in listed.too_late],
        on_their_way=deliveries,
        withdrawn=list(stock_withdrawn.withdrawn(catalogue)) if "withdrawn" in request.args else None,
        problems=FormsTogether([("", above), *((one.label, one.form) for one in rows)]),
        today=request_context().context.today,
        lead_days=here.shop.on_hand.lead_days,
        says=Says(catalogue),
        key=request.form.get("client_key") or new_key(),
        counts_any=bool(availability.by_article),
    )
    return make_response(page, status)


def _rows(listed: BuyingList, sent: Mapping[Key, Sent], availability: Availability) -> Iterator[ShownRow]:
    """Yields the rows of the list as it is now. It may differ from the one that was sent; what was typed is then in
    the row that is left of it."""
    for place, row in enumerate(listed.rows):
        label, address = colour_label(row.article, row.colour, availability), address_of(row.article)
        form = BuyForm(data={"packs": str(row.packs), "due": listed.first.isoformat()}, at=place)
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


def _deliveries(catalogue: Catalogue, coming: CameForm | None) -> Iterator[ShownDelivery]:
    """Yields the deliveries on their way."""
    today = request_context().context.today
    for row in goods_on_their_way(request_context().session):
        article = Article(row.balloon_type_id or 0, row.supply_id or 0)
        name = named(article, row.colour, catalogue)
        is_coming = coming is not None and coming.meta.at == str(row.id)
        form = coming if coming and is_coming else CameForm(data={"count": f"{row.pieces:.10g}"}, at=row.id)
        yield ShownDelivery(row, article, name, address_of(article), row.due_on < today, form)
