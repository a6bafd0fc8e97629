"""Office: what to buy before the next delivery day, and what is on its way."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from flask import Blueprint, flash, request, url_for
from flask.wrappers import Response

from app.actions.stock.articles import Article, shelved_as
from app.actions.stock.availability import Availability, load_availability
from app.actions.stock.buying import BuyingList, ToBuy, TooLate, buying_list, cost_of
from app.actions.stock.deliveries import MOST_PACKS, DeliveryArrival, add_delivery, arrive, load_delivery, withdraw
from app.actions.stock.lots import MOST
from app.places.office import stock_withdrawn
from app.places.office.record_page import page, problems_by_field
from app.places.office.stock_view import Says, address_of, colour_label, known_article
from app.quoting.catalogue import Catalogue
from app.quoting.errors import Problem, Refused
from app.store.queries.stock_pages import DeliveryLine, goods_on_their_way
from app.web.forms import read_id, tap_key
from app.web.htmx import new_key, see_other
from app.web.requests import request_context
from app.web.tables import csv_answer
from app.web.typed import Typed
from app.web.wording.stock import named

CSV_HEAD = ("article", "colour", "packs", "pack of", "unit", "in all", "cost", "due")
MOST_ROWS = 500
Key = tuple[Article, str]


@dataclass(frozen=True, slots=True)
class ShownRow:
    """colour: as packs say it. packs, due: as they stand in the fields."""

    row: ToBuy
    colour: str
    label: str
    address: str
    packs: str
    due: str

    @property
    def what(self) -> str:
        """Its article in a form's field."""
        article = self.row.article
        return (
            f"balloon_type-{article.balloon_type_id}" if article.balloon_type_id else f"supply-{article.supply_id}"
        )


@dataclass(frozen=True, slots=True)
class ShownLate:
    late: TooLate
    label: str
    address: str


@dataclass(frozen=True, slots=True)
class ShownDelivery:
    row: DeliveryLine
    article: Article
    name: str
    address: str
    overdue: bool


def register(office: Blueprint) -> None:
    office.get("/stock/buying")(buying)
    office.get("/stock/buying.csv")(buying_csv)
    office.post("/stock/buying")(save_ordered)
    office.post("/stock/deliveries/<int:delivery_id>/came")(it_came)
    office.post("/stock/deliveries/<int:delivery_id>/withdrawn")(it_will_not_come)
    stock_withdrawn.register(office)


def buying() -> Response:
    return _buying_page()


def buying_csv() -> Response:
    catalogue = request_context().catalogue
    availability = _availability(catalogue)
    return csv_answer("buying-list.csv", CSV_HEAD, _cells(_list(availability, catalogue), availability, catalogue))


def _availability(catalogue: Catalogue) -> Availability:
    here = request_context()
    return load_availability(here.context)


def _list(availability: Availability, catalogue: Catalogue) -> BuyingList:
    return buying_list(availability, catalogue, request_context().shop.on_hand, request_context().context.today)


def _cells(listed: BuyingList, availability: Availability, catalogue: Catalogue) -> Iterator[tuple[object, ...]]:
    for row in listed.rows:
        article = row.article
        cost = "" if row.minor is None else request_context().formats.amount(row.minor)
        yield (
            *(article.name(catalogue), colour_label(article, row.colour, availability), row.packs),
            *(f"{article.pack_size(catalogue):.10g}", article.unit(catalogue), f"{row.pieces:.10g}", cost),
            listed.first.isoformat(),
        )


def save_ordered() -> Response:
    """One row, or all that were sent; “reckon” only works out what other packs would cost."""
    sent, press = _rows_sent(), request.form.get("press", "")
    if press == "reckon":
        return _buying_page(sent)
    chosen = sent if press == "all" else [row for row in sent if str(row.place) == press]
    try:
        noted = _note(chosen)
    except Refused as refused:
        return _buying_page(sent, refused)
    flash(f"{noted} {'row is' if noted == 1 else 'rows are'} on the way.")
    return see_other(url_for("office.buying"))


@dataclass(frozen=True, slots=True)
class Sent:
    """A row as the form sent it. place: its number in the form."""

    place: int
    article: Article
    colour: str
    packs: str
    due: str

    @property
    def key(self) -> Key:
        return self.article, shelved_as(self.colour)


def _rows_sent() -> list[Sent]:
    form, rows = request.form, []
    for place in range(min(MOST_ROWS, read_id(form.get("rows")))):
        sort, _, number = form.get(f"what-{place}", "").partition("-")
        found = (
            Article(balloon_type_id=read_id(number))
            if sort == "balloon_type"
            else Article(supply_id=read_id(number))
        )
        colour, packs, due = (form.get(f"{name}-{place}", "").strip() for name in ("colour", "packs", "due"))
        rows.append(Sent(place=place, article=found, colour=colour, packs=packs, due=due))
    return rows


def _note(rows: Sequence[Sent]) -> int:
    """How many were noted: all or none. Raises Refused, its fields with the rows' places."""
    if not rows:
        raise Refused(Problem("press", "Nothing was chosen: look at the list again."))
    with request_context().session.begin_nested():  # the page that tells what is wrong shows none of them as noted
        catalogue, problems = request_context().catalogue, []
        for row in rows:
            try:
                _note_one(row, catalogue)
            except Refused as refused:
                problems += [replace(one, field=f"{_field(one)}-{row.place}") for one in refused.problems]
        if problems:
            raise Refused(*problems)
    return len(rows)


def _field(problem: Problem) -> str:
    return "due" if problem.field == "due_on" else problem.field


def _note_one(row: Sent, catalogue: Catalogue) -> None:
    here = request_context()
    article = known_article(row.article, catalogue)
    typed = Typed({"packs": row.packs, "due_on": row.due}, here.formats.decimals)
    packs, due_on = typed.whole("packs", 1, MOST_PACKS, "Packs"), typed.day("due_on")
    typed.check()
    key = f"{tap_key()} {article.balloon_type_id} {article.supply_id} {shelved_as(row.colour)}"
    add_delivery(
        here.context,
        article,
        row.colour,
        packs,
        due_on,
        key,
    )


def it_came(delivery_id: int) -> Response:
    here, catalogue = request_context(), request_context().catalogue
    sent = {"count": request.form.get(f"count-{delivery_id}", "")}
    row = load_delivery(here.session, delivery_id)
    typed = Typed(sent, here.formats.decimals)
    try:
        is_whole = row.balloon_type_id is not None
        count = (
            typed.whole("count", 1, int(MOST), "How many came") if is_whole else typed.number("count", 0.01, MOST)
        )
        typed.check()
        came = arrive(here.context, delivery_id, count)
    except Refused as refused:
        at = [replace(one, field=f"count-{delivery_id}") for one in refused.problems]
        return _buying_page(refused=Refused(*at))
    flash(_came_words(came, catalogue))
    return see_other(url_for("office.buying"))


def _came_words(came: DeliveryArrival, catalogue: Catalogue) -> str:
    """With what is missing of it, and what becomes of that."""
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
    try:
        row = withdraw(request_context().context, delivery_id)
    except Refused as refused:
        return _buying_page(refused=Refused(*(replace(one, field="press") for one in refused.problems)))
    article = Article(row.balloon_type_id or 0, row.supply_id or 0)
    flash(f"{named(article, row.colour, request_context().catalogue)} will not come.")
    return see_other(url_for("office.buying", withdrawn=1))


def _buying_page(sent: Sequence[Sent] = (), refused: Refused | None = None) -> Response:
    here, catalogue = request_context(), request_context().catalogue
    availability = _availability(catalogue)
    listed = _list(availability, catalogue)
    rows = list(_rows(listed, {one.key: one for one in sent}, availability))
    costs = [_cost(one, catalogue) for one in rows]
    coming = sorted(_deliveries(catalogue), key=lambda one: not one.overdue)
    problems = _at_present_places(problems_by_field(refused, {}), sent, rows)
    fields = {f"{name}-{place}" for place in range(len(rows)) for name in ("packs", "due")}
    fields |= {f"count-{one.row.id}" for one in coming}
    return page(
        "office/buying.html",
        refused,
        listed=listed,
        rows=list(zip(rows, costs, strict=True)),
        total=sum(cost or 0 for cost in costs),
        is_all_priced=None not in costs,
        too_late=[_late(one, availability) for one in listed.too_late],
        on_their_way=coming,
        withdrawn=list(stock_withdrawn.withdrawn(catalogue)) if "withdrawn" in request.args else None,
        problems=problems,
        above=[sentence for field, sentence in problems.items() if field not in fields],
        texts=request.form,
        today=request_context().context.today,
        lead_days=here.shop.on_hand.lead_days,
        says=Says(catalogue),
        key=request.form.get("client_key") or new_key(),
        counts_any=bool(availability.by_article),
    )


def _rows(listed: BuyingList, sent: Mapping[Key, Sent], availability: Availability) -> Iterator[ShownRow]:
    for row in listed.rows:
        label, address = colour_label(row.article, row.colour, availability), address_of(row.article)
        typed = sent.get((row.article, row.colour))
        packs, due = (typed.packs, typed.due) if typed else (str(row.packs), listed.first.isoformat())
        said = availability.colour(row.article, row.colour) if row.colour else ""
        yield ShownRow(row, said, label, address, packs, due)


def _cost(one: ShownRow, catalogue: Catalogue) -> int | None:
    """Of the packs that stand in the field, where they can be read."""
    packs = int(one.packs) if one.packs.isdecimal() and len(one.packs) < 6 else one.row.packs
    return cost_of(one.row.article, packs, catalogue)


def _at_present_places(
    problems: Mapping[str, str], sent: Sequence[Sent], rows: Sequence[ShownRow]
) -> dict[str, str]:
    """The list may be another than the one that was sent: each sentence stands at its row as it is now."""
    places = {(one.row.article, one.row.colour): place for place, one in enumerate(rows)}
    moved = {one.place: places.get(one.key) for one in sent}
    told: dict[str, str] = {}
    for field, sentence in problems.items():
        name, _, place = field.rpartition("-")
        now = moved.get(read_id(place)) if name in ("packs", "due") else None
        told[f"{name}-{now}" if now is not None else field] = sentence
    return told


def _late(one: TooLate, availability: Availability) -> ShownLate:
    return ShownLate(one, colour_label(one.article, one.colour, availability), address_of(one.article))


def _deliveries(catalogue: Catalogue) -> Iterator[ShownDelivery]:
    for row in goods_on_their_way(request_context().session):
        article = Article(row.balloon_type_id or 0, row.supply_id or 0)
        name = named(article, row.colour, catalogue)
        yield ShownDelivery(row, article, name, address_of(article), row.due_on < request_context().context.today)
