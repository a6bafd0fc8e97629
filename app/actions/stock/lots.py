"""Lots: received, counted again with a reason, put away for water weights and practice, and used up for those."""

from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.errors import NotFound
from app.actions.records.history import lock_board, touch_board
from app.actions.records.idempotency import save_once, saved_with_key
from app.actions.stock.articles import Article, colour_key
from app.craft.colours import LONGEST_NAME
from app.quoting.catalogue import Catalogue
from app.quoting.errors import Problem, Refused
from app.quoting.states import StockMoveReason, SupplySort
from app.store.models import Lot, StockMove

MAX_COUNT = 1_000_000.0
MAX_REASON_LENGTH = 200
PUT_AWAY_FIRST = "Put this lot away first. Other lots are used by orders."
COLOUR_TOO_LONG = f"Enter a colour of at most {LONGEST_NAME} letters."
DAY_OUT_OF_RANGE = "Enter a day from 2000-01-01 to today."
ENTER_REASON = "Enter a reason."


@dataclass(frozen=True, slots=True)
class Arrival:
    """What came in together. colour: as the pack says it; empty if it names none. count: in pieces, or in the
    supply's unit."""

    article: Article
    colour: str
    count: float
    on: date


def receive(context: Context, arrival: Arrival, client_key: str) -> Lot:
    """Saves a lot and returns it. A second call with the same key returns the first lot. Raises Refused, at count,
    colour or day."""
    if known := saved_with_key(context.session, Lot, client_key):
        return known
    arrival = _checked(arrival, context.catalogue, context.clock_date)
    new = Lot(
        client_key=client_key,
        balloon_type_id=arrival.article.balloon_type_id or None,
        supply_id=arrival.article.supply_id or None,
        colour=arrival.colour,
        colour_folded=colour_key(arrival.colour),
        received_on=arrival.on,
        arrived=arrival.count,
        on_hand=0.0,
    )
    lot = save_once(context.session, new)
    if lot is new:
        _move(context, lot, StockMoveReason.RECEIVED, arrival.count, "")
    return lot


def load_lot(session: Session, lot_id: int) -> Lot:
    """Returns the lot, which nobody else may change until the session ends. Raises NotFound."""
    lock_board(session)  # the board is locked before lots everywhere, so that no two writers wait for each other
    found = select(Lot).where(Lot.id == lot_id).with_for_update()
    lot = session.scalar(found.execution_options(populate_existing=True))
    if lot is None:
        raise NotFound("This lot does not exist.")
    return lot


def count_lot(
    context: Context,
    lot_id: int,
    counted: float,
    why: str,
    seen: float,
    counts_seen: int | None = None,
) -> Lot:
    """Records how many are there, as somebody counted.

    seen: how many the page showed; only the difference from it is recorded, so that what was filled meanwhile is
    not put back. counts_seen: how often the lot had been counted again when the page was made; if it was counted
    since, as by a first press, nothing changes. Raises NotFound, and Refused at count or why.
    """
    lot = load_lot(context.session, lot_id)
    if counts_seen is not None and counts_of(context.session, lot_id) != counts_seen:
        return lot
    difference = counted - seen
    if not 0 <= counted <= MAX_COUNT:
        raise Refused(Problem("count", f"Enter a number from 0 to {MAX_COUNT:,.0f}."))
    _refuse_bad_reason(why)
    if difference:
        _move(context, lot, StockMoveReason.COUNTED, difference, why.strip())
    return lot


def counts_of(session: Session, lot_id: int) -> int:
    """Returns how often the lot was counted again with another result."""
    mine = (StockMove.lot_id == lot_id, StockMove.sort == StockMoveReason.COUNTED)
    return session.scalar(select(func.count()).select_from(StockMove).where(*mine)) or 0


def set_aside(context: Context, lot_id: int, why: str) -> Lot:
    """Puts a lot away for water weights and practice: from now on nothing of it is promised or filled.

    A second press changes nothing. Raises NotFound, and Refused at why.
    """
    lot = load_lot(context.session, lot_id)
    if lot.set_aside_at is None:
        _refuse_bad_reason(why)
        lot.set_aside_at, lot.set_aside_why = context.now, why.strip()
        touch_board(context.session)
    return lot


def put_back(session: Session, lot_id: int) -> Lot:
    """Puts a lot that was put away back in stock. Raises NotFound."""
    lot = load_lot(session, lot_id)
    lot.set_aside_at, lot.set_aside_why = None, ""
    touch_board(session)
    return lot


def use_up(context: Context, lot_id: int, count: float, seen: float, why: str) -> Lot:
    """Records that so many of a lot that is put away went into weights or practice.

    seen: how many the page showed, so that a second press takes nothing more. Raises NotFound, and Refused at count
    or why.
    """
    lot = load_lot(context.session, lot_id)
    if lot.set_aside_at is None:
        raise Refused(Problem("count", PUT_AWAY_FIRST))
    if lot.on_hand != seen:
        return lot
    if not 0 < count <= lot.on_hand:
        raise Refused(Problem("count", up_to(lot.on_hand)))
    _refuse_bad_reason(why)
    _move(context, lot, StockMoveReason.USED, -count, why.strip())
    return lot


def up_to(on_hand: float, unit: str = "") -> str:
    """Returns the sentence that says how many can be used up. unit: stands beside the number."""
    if on_hand <= 0:
        return "Nothing is left in this lot."
    return f"Enter a number above 0, up to {f'{on_hand:,.10g} {unit}'.strip()}."


def _checked(arrival: Arrival, catalogue: Catalogue, today: date) -> Arrival:
    """Returns the arrival with a tidy colour. Raises Refused."""
    article = arrival.article
    known = catalogue.balloon_types.get(article.balloon_type_id) or catalogue.supplies.get(article.supply_id)
    if known is None or getattr(known, "sort", "") == SupplySort.RENTAL:
        raise Refused(Problem("article", "This item is not counted in stock."))
    colour = " ".join(arrival.colour.split()) if article.balloon_type_id else ""
    problems = []
    if not 0 < arrival.count <= MAX_COUNT:
        problems.append(Problem("count", f"Enter a number above 0, up to {MAX_COUNT:,.0f}."))
    elif article.balloon_type_id and arrival.count != int(arrival.count):
        problems.append(Problem("count", "Enter a whole number of balloons."))
    if len(colour) > LONGEST_NAME:
        problems.append(Problem("colour", COLOUR_TOO_LONG))
    if arrival.on.year < 2000 or arrival.on > today:
        problems.append(Problem("day", DAY_OUT_OF_RANGE))
    if problems:
        raise Refused(*problems)
    return replace(arrival, colour=colour)


def _refuse_bad_reason(why: str) -> None:
    """Raises Refused for an empty or too long reason."""
    if not why.strip():
        raise Refused(Problem("why", ENTER_REASON))
    if len(why) > MAX_REASON_LENGTH:
        raise Refused(Problem("why", f"Enter at most {MAX_REASON_LENGTH} letters."))


def _move(context: Context, lot: Lot, sort: StockMoveReason, change: float, why: str) -> None:
    """Changes the count of the lot and records the move."""
    lot.on_hand += change
    context.session.add(
        StockMove(lot_id=lot.id, sort=sort, change=change, why=why, at=context.now, who=context.who)
    )
    touch_board(context.session)
    context.session.flush()
