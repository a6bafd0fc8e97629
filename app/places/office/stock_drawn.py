"""Office: the rows of the page of buying as they were sent, and what the page was drawn with, so that two people do
not order or receive the same."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from flask import request

from app.actions.records.idempotency import saved_with_key
from app.actions.stock.articles import Article, colour_key
from app.places.office.stock_forms import ArrivalForm, AsideForm, BuyForm
from app.store.models import Delivery, Lot
from app.store.queries.stock_pages import load_pending_deliveries
from app.web.forms import ShopForm, read_id, sent_client_key
from app.web.forms.drawn import Drawn, DrawnField
from app.web.requests import request_context
from app.web.stored_form import StoredForm
from app.web.wording.stock import describe_article

MOST_ROWS = 500
Key = tuple[Article, str]


@dataclass(frozen=True, slots=True)
class SubmittedRow:
    """A row of the buying list as the form sent it."""

    article: Article
    form: BuyForm

    @property
    def key(self) -> Key:
        """The article and colour by which the row is found again."""
        return self.article, colour_key(self.form.colour.data or "")

    @property
    def name(self) -> str:
        """The name by which two pages compare what is on its way of it."""
        return drawn_name(*self.key)

    @property
    def client_key(self) -> str:
        """The key of its delivery."""
        article, colour = self.key
        return f"{sent_client_key()} {article.balloon_type_id} {article.supply_id} {colour}"


def submitted_rows() -> list[SubmittedRow]:
    """Returns the rows that were sent."""
    places = range(min(MOST_ROWS, read_id(request.form.get("rows"))))
    return [
        SubmittedRow(_article_of(form), form) for form in (BuyForm(request.form, suffix=place) for place in places)
    ]


def may_order(rows: Sequence[SubmittedRow], stored: StoredForm, page_form: ShopForm) -> bool:
    """Returns whether nobody ordered these rows since the page was made; a second press orders nothing anew."""
    known = (saved_with_key(request_context().session, Delivery, row.client_key) for row in rows)
    return all(known) or stored.is_unchanged(page_form)


def _article_of(form: BuyForm) -> Article:
    """Returns the article that the form names."""
    sort, _, number = (form.what.data or "").partition("-")
    return (
        Article(balloon_type_id=read_id(number)) if sort == "balloon_type" else Article(supply_id=read_id(number))
    )


def drawn_name(article: Article, colour: str) -> str:
    """Returns the name by which two pages compare what is on its way of an article."""
    return f"{article.balloon_type_id} {article.supply_id} {colour_key(colour)}"


def stored_orders(names: Iterable[str]) -> StoredForm:
    """Returns the packs that are on their way of the articles with these names."""
    wanted = dict.fromkeys(names, 0)

    def read() -> Drawn:
        packs, labels = dict(wanted), {}
        for row in load_pending_deliveries(request_context().session):
            article = Article(row.balloon_type_id or 0, row.supply_id or 0)
            name = drawn_name(article, row.colour)
            packs[name] = packs.get(name, 0) + row.packs
            labels[name] = describe_article(article, row.colour, request_context().catalogue)
        return {
            name: DrawnField(
                f"{labels.get(name, 'This item')}, on the way",
                str(count) if count else "",
                f"{count} {'pack' if count == 1 else 'packs'}",
            )
            for name, count in packs.items()
        }

    return StoredForm("buying", read, set(wanted))


def drawn_lot(lot_id: int, set_aside_why: str) -> Drawn:
    """Returns what a lot's page shows of why it is put away, as the field of that."""
    field = AsideForm(suffix=lot_id).why
    return {field.name: DrawnField(field.label.text, set_aside_why, set_aside_why)}


def stored_arrival(row: Delivery) -> StoredForm:
    """Returns how much of a delivery arrived, as the field of that; empty until it arrives."""
    here, field = request_context(), ArrivalForm(suffix=row.id).count
    field.set_article(Article(row.balloon_type_id or 0, row.supply_id or 0), here.catalogue)

    def read() -> Drawn:
        lot = here.session.get(Lot, row.lot_id) if row.lot_id else None
        arrived = field.written(lot.arrived) if lot else ""
        return {field.name: DrawnField(field.label.text, arrived, arrived)}

    return StoredForm(f"delivery {row.id}", read)
