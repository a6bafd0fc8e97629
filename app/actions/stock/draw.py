"""What leaves the shelves: balloons when their batch is filled or one bursts, supplies with the hand-over.

What should be gone is compared with what is: a tap that is undone, or a sale taken back, brings it back by itself.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.actions.recipe import read_recipe
from app.actions.stock.articles import Article, shelved_as
from app.planning.stock import ANY
from app.store.models import Batch, Lot, Order, StockMove

Taken = Mapping[str, float]
"""How much, by colour as it is told apart."""


def draw_balloons(session: Session, who: str, batch: Batch, now: datetime) -> None:
    """What was filled and burst for a batch is gone from the shelves, and nothing else."""
    shelf = _lots(session, Article(kind_id=batch.kind_id))
    for sort, taken in (("filled", _filled(batch)), ("burst", _by_colour(batch.bursts))):
        of_batch = StockMove(sort=sort, batch_id=batch.id, order_id=batch.order_id, why="", at=now, who=who)
        _settle(session, shelf, taken, of_batch)


def draw_supplies(session: Session, who: str, order: Order, now: datetime) -> None:
    """The supplies of an order that is handed over are gone from the shelves; until then none are."""
    gone = order.state == "handed over"
    for supply_id, count in _supplies(order).items():
        of_order = StockMove(sort="handed over", order_id=order.id, why="", at=now, who=who)
        shelf = _lots(session, Article(supply_id=supply_id))
        _settle(session, shelf, {ANY: count} if gone else {}, of_order)


def _filled(batch: Batch) -> Taken:
    """Nothing until all are filled; what was filled and is wanted no more stays gone. The customer's own are not
    the shop's."""
    if not batch.filled_at:
        return {}
    filled, wanted = batch.filled, _by_colour(batch.colours)
    if filled > sum(wanted.values()) and batch.started_as:
        wanted = _first(_by_colour(batch.started_as["colours"]), filled)
    own = _own(batch)
    return {colour: max(0.0, count - own.get(colour, 0.0)) for colour, count in wanted.items()}


def _own(batch: Batch) -> Taken:
    of_batch = (batch.kind_id, batch.gas, batch.treated, batch.later)
    shares = [
        share
        for line in batch.order.lines
        if line.service == "own"
        for part in line.parts
        if (part["kind_id"], part["gas"], part["treated"], part.get("later", False)) == of_batch
        for share in part["colours"]
    ]
    return _by_colour(shares)


def _by_colour(shares: Iterable[tuple[str, float]]) -> dict[str, float]:
    counts: dict[str, float] = {}
    for colour, count in shares:
        counts[shelved_as(colour)] = counts.get(shelved_as(colour), 0.0) + count
    return counts


def _first(counts: Taken, so_many: float) -> dict[str, float]:
    """As many of these as were filled, colour after colour; the last one stands for what is more."""
    left, taken, last = so_many, {}, list(counts)[-1]
    for colour, count in counts.items():
        taken[colour] = left if colour == last else min(count, left)
        left -= taken[colour]
    return taken


def _supplies(order: Order) -> dict[int, float]:
    units: dict[int, float] = {}
    for line in order.lines:
        for one in read_recipe(line.recipe).supplies:
            if one.sort != "hired":
                units[one.supply_id] = units.get(one.supply_id, 0.0) + one.of_one * line.quantity
    for extra in order.extras:
        if extra.sort == "supply" and extra.supply_id:
            units[extra.supply_id] = units.get(extra.supply_id, 0.0) + extra.quantity
    return units


def _lots(session: Session, article: Article) -> list[Lot]:
    """All lots of an article, the oldest first, which nobody else may change until the session ends."""
    mine = Lot.kind_id == article.kind_id if article.kind_id else Lot.supply_id == article.supply_id
    return list(session.scalars(select(Lot).where(mine).order_by(Lot.received_on, Lot.id).with_for_update()))


def _settle(session: Session, lots: Sequence[Lot], wanted: Taken, like: StockMove) -> None:
    """Bring what is gone from the lots for a batch or an order in line with what should be. like: the move that
    each difference is written as."""
    if not lots:
        return
    gone = _gone(session, lots, like)
    should = _shared_out(wanted, lots, gone)
    for lot in lots:
        change = gone.get(lot.id, 0.0) - should.get(lot.id, 0.0)
        if change:
            lot.on_hand += change
            told = {name: getattr(like, name) for name in ("sort", "batch_id", "order_id", "why", "at", "who")}
            session.add(StockMove(lot_id=lot.id, change=change, **told))
    session.flush()  # what is gone is read again at the next tap


def _gone(session: Session, lots: Sequence[Lot], like: StockMove) -> dict[int, float]:
    """How much is gone for the same already, by lot."""
    found = select(StockMove.lot_id, -func.sum(StockMove.change)).where(
        StockMove.sort == like.sort,
        StockMove.batch_id == like.batch_id if like.batch_id else StockMove.order_id == like.order_id,
        StockMove.lot_id.in_([lot.id for lot in lots]),
    )
    return {lot_id: count for lot_id, count in session.execute(found.group_by(StockMove.lot_id)) if count}


def _shared_out(wanted: Taken, lots: Sequence[Lot], gone: Mapping[int, float]) -> dict[int, float]:
    """How much each lot gives: what gave already first, then the oldest. What is more than is there must have come
    from somewhere: the newest lot then shows less than nothing, until somebody counts it."""
    there = {lot.id: max(0.0, lot.on_hand + gone.get(lot.id, 0.0)) for lot in lots}
    should: dict[int, float] = {}
    for colour, count in sorted(wanted.items(), key=lambda pair: pair[0] == ANY):
        left, givers = count, _givers(colour, lots, gone, there)
        for lot in givers:
            given = left if lot is givers[-1] else min(left, there[lot.id])
            should[lot.id] = should.get(lot.id, 0.0) + given
            there[lot.id] -= given
            left -= given
    return should


def _givers(colour: str, lots: Sequence[Lot], gone: Mapping[int, float], there: Mapping[int, float]) -> list[Lot]:
    """The lots that serve a colour, in their turn; what is set aside gives no more. Where any colour does, packs
    that name none come first, then the colour of which most is there."""
    mine = [lot for lot in lots if lot.set_aside_at is None or gone.get(lot.id)]
    if colour != ANY and any(lot.colour_folded != ANY for lot in lots):
        mine = [lot for lot in mine if lot.colour_folded == colour]
    else:
        most: dict[str, float] = {}
        for lot in mine:
            most[lot.colour_folded] = most.get(lot.colour_folded, 0.0) + there[lot.id]
        mine.sort(key=lambda lot: (lot.colour_folded != ANY, -most[lot.colour_folded]))
    return sorted(mine, key=lambda lot: not gone.get(lot.id))
