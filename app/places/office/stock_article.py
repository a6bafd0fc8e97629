"""Office: one balloon type or supply in stock: its dates, the orders that need it, its lots, and what is done with
them."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

from flask import Blueprint, make_response, render_template, session
from flask.wrappers import Response

from app.actions.stock.articles import Article, gets_old, old_lots_before
from app.actions.stock.availability import Availability, StockDemand, load_availability
from app.places.office.stock_drawn import drawn_lot
from app.places.office.stock_forms import AsideForm, CountForm, LotForm, ReceiveForm, UseForm
from app.places.office.stock_view import (
    ShownColour,
    StockWords,
    catalogue_with,
    colour_label,
    shown_colours,
)
from app.planning.stock import ANY, ColourDay
from app.quoting.catalogue import Catalogue
from app.quoting.states import StockMoveReason
from app.store.queries.stock_pages import LotLine, MoveLine, load_stocked_colours, lots_of, moves_of
from app.web.forms.drawn import write_drawn
from app.web.htmx import new_key
from app.web.requests import request_context
from app.web.wording.stock import counting_unit

EMPTY_LOTS_SHOWN_FOR = timedelta(days=92)
"""How long an empty lot is still listed."""
FIRST_DAYS = 8
LOT_MESSAGE_KEY = "lot_message"
"""The session's key for a lot and what was done with it, which the page shows once."""
MOVE_NAMES = {
    StockMoveReason.RECEIVED: "received",
    StockMoveReason.FILLED: "filled",
    StockMoveReason.BURST: "burst",
    StockMoveReason.HANDED_OVER: "handed over",
    StockMoveReason.COUNTED: "counted",
    StockMoveReason.USED: "used",
}
CONSUMED_SORTS = (StockMoveReason.FILLED, StockMoveReason.BURST, StockMoveReason.HANDED_OVER, StockMoveReason.USED)


@dataclass(frozen=True, slots=True)
class ByDate:
    """One colour by date: the first days, and the rest, which the page folds away."""

    stock: ShownColour
    days: tuple[ColourDay, ...]
    rest: tuple[ColourDay, ...]

    @property
    def is_not_in_demand(self) -> bool:
        """Whether nothing of it is needed or on its way."""
        return not self.stock.promised and not self.stock.coming


@dataclass(frozen=True, slots=True)
class ShownLot:
    """is_old: better put away. is_untouched: nothing was taken from it, so it can be undone as never received.
    refused: the form of what could not be done with it."""

    row: LotLine
    label: str
    is_old: bool
    is_untouched: bool
    refused: LotForm | None

    def _form(self, sort: type[LotForm]) -> LotForm:
        """Returns the form of this sort: the refused one, or a new one."""
        return self.refused if isinstance(self.refused, sort) else sort(suffix=self.row.id)

    @property
    def drawn(self) -> str:
        """With what its forms are drawn."""
        return write_drawn(drawn_lot(self.row.id, self.row.set_aside_why))

    @property
    def count(self) -> LotForm:
        """The form that counts the lot again."""
        return self._form(CountForm)

    @property
    def aside(self) -> LotForm:
        """The form that puts the lot away."""
        return self._form(AsideForm)

    @property
    def use(self) -> LotForm:
        """The form that uses up a lot that is put away."""
        return self._form(UseForm)


@dataclass(frozen=True, slots=True)
class PromisedTo:
    """What is promised to one order."""

    number: int
    label: str
    count: float
    spares: int
    day: date


@dataclass(frozen=True, slots=True)
class ShownMove:
    """A change of a lot. undone: whether it gives back what was taken."""

    row: MoveLine
    words: str
    label: str
    undone: bool


def register(office: Blueprint) -> None:
    """Registers the pages of articles."""
    office.get("/stock/balloon-type/<int:balloon_type_id>")(stock_of_balloon_type)
    office.get("/stock/supply/<int:supply_id>")(stock_of_supply)


def stock_of_balloon_type(balloon_type_id: int) -> Response:
    """Shows the stock of a balloon type."""
    return article_page(Article(balloon_type_id=balloon_type_id))


def stock_of_supply(supply_id: int) -> Response:
    """Shows the stock of a supply."""
    return article_page(Article(supply_id=supply_id))


def article_page(
    article: Article, receiving: ReceiveForm | None = None, lot_form: LotForm | None = None
) -> Response:
    """Returns the page. receiving: what could not be received, and why. lot_form: what could not be done with a
    lot."""
    here, catalogue = request_context(), catalogue_with(article)
    availability = load_availability(here.context, {article})
    today = here.context.today
    lots = list(_lots(article, availability, today, lot_form, ages=gets_old(article, catalogue)))
    message_lot, said = session.pop(LOT_MESSAGE_KEY, (None, ""))
    page = render_template(
        "office/stock_article.html",
        article=article,
        counted=article in availability.by_article,
        by_date=list(_by_date(article, availability)),
        requests=list(_requests(article, availability, today)),
        lots=lots,
        said=said,
        message_lot=message_lot if any(lot.row.id == message_lot for lot in lots) else None,
        unlisted=lot_form if lot_form and not any(lot.refused for lot in lots) else None,
        moves=list(_moves(article, availability)),
        colours=load_stocked_colours(here.session) if article.balloon_type_id else (),
        pack_size=article.pack_size(catalogue),
        receiving=receiving or ReceiveForm(data={"day": today}),
        stock_words=StockWords(catalogue),
        old_lot_reason=AsideForm.WATER_WEIGHTS,
        new_key=new_key,
        unit=_unit(article, catalogue),
    )
    refused = receiving or lot_form
    return make_response(page, refused.refused_status if refused else 200)


def _unit(article: Article, catalogue: Catalogue) -> str:
    """Returns the unit in words."""
    return counting_unit(article.unit(catalogue), request_context().formats).name or "pieces"


def _by_date(article: Article, availability: Availability) -> Iterator[ByDate]:
    """Yields the colours by date."""
    if article in availability.by_article:
        for one in shown_colours(article, availability):
            days = tuple(availability.by_article[article].days_of(one.colour))
            yield ByDate(one, days[:FIRST_DAYS], days[FIRST_DAYS:])


def _requests(article: Article, availability: Availability, today: date) -> Iterator[PromisedTo]:
    """Yields what orders need, by day; what one order needs of a colour on a day is one row."""
    together: dict[tuple[date, int, str], StockDemand] = {}
    for one in availability.demands:
        key = (max(one.day, today), one.number, one.colour)
        had = together.get(key)
        together[key] = _sum(had, one) if had else one
    for (day, number, colour), one in sorted(together.items()):
        yield PromisedTo(number, _requested_colour(article, colour, availability), one.count, one.spares, day)


def _sum(one: StockDemand, other: StockDemand) -> StockDemand:
    """Returns two demands as one."""
    return replace(one, count=one.count + other.count, spares=one.spares + other.spares)


def _requested_colour(article: Article, colour: str, availability: Availability) -> str:
    """Returns the colour that the order asks for; empty for a supply."""
    if not article.balloon_type_id:
        return ""
    return "any colour" if colour == ANY else availability.colour(article, colour)


def _lots(
    article: Article, availability: Availability, today: date, lot_form: LotForm | None, *, ages: bool
) -> Iterator[ShownLot]:
    """Yields the lots of the article."""
    here = request_context()
    rows = lots_of(here.session, article.balloon_type_id, article.supply_id, today - EMPTY_LOTS_SHOWN_FOR)
    old = old_lots_before(here.context)
    for row in sorted(rows, key=lambda row: row.on_hand == 0):
        is_old = ages and row.received_on < old and row.on_hand > 0 and not row.set_aside_at
        is_untouched = row.on_hand == row.arrived and not row.counts and not row.set_aside_at
        refused = lot_form if lot_form and lot_form.meta.suffix == str(row.id) else None
        yield ShownLot(row, row.colour or _no_colour(article, availability), is_old, is_untouched, refused)


def _no_colour(article: Article, availability: Availability) -> str:
    """Returns what a lot without a colour is called."""
    label = colour_label(article, ANY, availability)
    return "any colour" if label == "any colour" else label


def _moves(article: Article, availability: Availability) -> Iterable[ShownMove]:
    """Returns the changes of its lots."""
    for row in moves_of(request_context().session, article.balloon_type_id, article.supply_id):
        undone = row.change > 0 and row.sort in CONSUMED_SORTS
        words = f"{MOVE_NAMES[row.sort]}, undone" if undone else MOVE_NAMES[row.sort]
        yield ShownMove(row, words, row.colour or _no_colour(article, availability), undone)
