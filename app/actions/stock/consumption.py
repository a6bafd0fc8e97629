"""What leaves the shelves: balloons when their batch is filled or one bursts, supplies with the hand-over.

Only differences are written: what should be gone before a tap is compared with what should be gone after it. So
what was filled before anybody counted is not taken later, and undoing a tap or a sale returns what was taken to the
lots that it came from.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import ColumnElement, func, select, true, union_all
from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.records.history import lock_board
from app.actions.stock.articles import Article, colour_key, old_lots_before
from app.planning.lot_allocation import LotStock, lots_for_colour
from app.planning.stock import ANY
from app.quoting.recipe import read_recipe
from app.quoting.request import ExtraSort, Service
from app.quoting.states import OrderState, StockMoveReason, SupplySort
from app.store.models import Lot, Order, OrderBatch, StockMove
from app.store.queries.by_index import is_there

PLACES = 6
"""Decimals to which stock is rounded, so that a lot in metres ends at 0 exactly."""


@dataclass(frozen=True, slots=True)
class StockUsed:
    """How many balloons a batch has used from stock. filled: without the balloons that the customer brought.
    bursts: by colour as `colour_key` returns it."""

    filled: int
    bursts: Mapping[str, float]


def stock_used_by(batch: OrderBatch) -> StockUsed:
    """Returns what should be gone for a batch. Filled balloons count only once all are filled, or once nobody will
    fill the rest, because the order is cancelled or was not made."""
    order = batch.order
    over = batch.filled_at or order.state == OrderState.CANCELLED or order.not_made_at
    return StockUsed(filled_from_stock(batch) if over else 0, _by_colour(batch.bursts))


def filled_from_stock(batch: OrderBatch) -> int:
    """Returns how many balloons of the batch are filled, without those that the customer brought."""
    return max(0, batch.filled - _customers_own_count(batch))


def consume_balloons(context: Context, batch: OrderBatch, before: StockUsed) -> None:
    """Takes balloons for a batch from the shelf, or gives them back, after the batch changed.

    before: what should have been gone before the change.
    """
    after = stock_used_by(batch)
    if after == before:
        return
    old_before = old_lots_before(context) if batch.material.traits.ages_in_stock else date.min
    shelf = _Shelf(context.session, Article(balloon_type_id=batch.balloon_type_id), old_before)

    def move(sort: StockMoveReason) -> StockMove:
        return StockMove(
            sort=sort, batch_id=batch.id, order_id=batch.order_id, why="", at=context.now, who=context.who
        )

    if after.filled > before.filled:
        for colour, count in _first(_colours(batch), after.filled - before.filled).items():
            shelf.take(colour, count, move(StockMoveReason.FILLED))
    elif after.filled < before.filled:
        back = before.filled - after.filled if after.filled else None
        shelf.give_back(back, move(StockMoveReason.FILLED))
    for colour in sorted({*before.bursts, *after.bursts}):
        more = after.bursts.get(colour, 0.0) - before.bursts.get(colour, 0.0)
        if more > 0:
            shelf.take(colour, more, move(StockMoveReason.BURST))
        elif more < 0:
            shelf.give_back(-more, move(StockMoveReason.BURST), colour)


def consume_supplies(context: Context, order: Order) -> None:
    """Takes the supplies of an order from the shelves once it is handed over, and gives them back if it no longer
    is."""
    for supply_id, count in sorted(supplies_of(order).items()):
        shelf = _Shelf(context.session, Article(supply_id=supply_id))
        move = StockMove(
            sort=StockMoveReason.HANDED_OVER, order_id=order.id, why="", at=context.now, who=context.who
        )
        if order.state != OrderState.HANDED_OVER:
            shelf.give_back(None, move)
        elif not shelf.gone(move):
            shelf.take(ANY, count, move)


def supplies_of(order: Order) -> dict[int, float]:
    """Returns the units of each supply by its id, without rented items, which come back."""
    units: dict[int, float] = {}
    for line in order.lines:
        for one in read_recipe(line.recipe).supplies:
            if one.sort != SupplySort.RENTAL:
                units[one.supply_id] = units.get(one.supply_id, 0.0) + one.of_one * line.quantity
    for extra in order.extras:
        if extra.sort == ExtraSort.SUPPLY and extra.supply_id:
            units[extra.supply_id] = units.get(extra.supply_id, 0.0) + extra.quantity * extra.of_one
    return units


def _customers_own_count(batch: OrderBatch) -> int:
    """Returns how many balloons of the batch the customer brought, which were never on the shelf."""
    of_batch = (batch.balloon_type_id, batch.gas, batch.treated, batch.part, batch.hung_g)
    return sum(
        count
        for line in batch.order.lines
        if line.service == Service.OWN
        for part in line.parts
        if tuple(part[name] for name in ("balloon_type_id", "gas", "treated", "part", "hung_g")) == of_batch
        for _, count in part["colours"]
    )


def _colours(batch: OrderBatch) -> dict[str, float]:
    """Returns the counts by colour of what is filled: as the order asks now, or as the batch was started if the
    order asks for fewer by now than are filled."""
    wanted = _by_colour(batch.colours)
    if sum(wanted.values()) < batch.filled and batch.started_as:
        return _by_colour(batch.started_as["colours"])
    return wanted


def _by_colour(shares: Iterable[tuple[str, float]]) -> dict[str, float]:
    """Returns the counts by colour as `colour_key` returns it."""
    counts: dict[str, float] = {}
    for colour, count in shares:
        counts[colour_key(colour)] = counts.get(colour_key(colour), 0.0) + count
    return counts


def _first(counts: Mapping[str, float], so_many: float) -> dict[str, float]:
    """Returns the first so many of the counts, colour after colour; what is more than all of them counts as the
    last colour."""
    left, taken, last = so_many, {}, list(counts)[-1:]
    for colour, count in counts.items():
        taken[colour] = left if [colour] == last else min(count, left)
        left -= taken[colour]
    return {colour: count for colour, count in taken.items() if count}


class _Shelf:
    """The lots of one article, the oldest first, which nobody else may change until the session ends. A shop had
    hundreds, so only those are read that can give or get something.

    old_before: lots that came in before this day are too old to be filled.
    """

    def __init__(self, session: Session, article: Article, old_before: date = date.min) -> None:
        lock_board(session)  # all writers lock the board before lots, so that none waits for another in a circle
        self._session, self._old_before = session, old_before
        self._is_mine = (
            Lot.balloon_type_id == article.balloon_type_id
            if article.balloon_type_id
            else Lot.supply_id == article.supply_id
        )

    def _read(self, condition: ColumnElement[bool]) -> Sequence[Lot]:
        """Returns the lots for which this is true, locked."""
        found = select(Lot).where(self._is_mine, condition).order_by(Lot.received_on, Lot.id).with_for_update()
        return self._session.scalars(found.execution_options(populate_existing=True)).all()

    def take(self, colour: str, count: float, like: StockMove) -> None:
        """Takes the count from the lots that serve the colour, in their turn; from old ones only what the others do
        not have.

        If more is taken than there is, it must have come from somewhere: the last lot in turn that is not old then
        shows less than nothing, until somebody counts it.
        """
        last = select(Lot.id).where(self._is_mine).order_by(Lot.received_on.desc(), Lot.id.desc()).limit(1)
        there = select(Lot.id).where(self._is_mine, is_there())
        lots = self._read(Lot.id.in_(union_all(there, select(last.subquery().c.id))))
        if not lots:
            return
        given, missing = self._shares(lots, colour, count)
        if missing:
            lots = self._read(true())
            given, missing = self._shares(lots, colour, count)
            if given:
                young = (place for place in reversed(given) if not self._is_old(lots[place]))
                given[next(young, [*given][-1])] += missing
        for place, part in given.items():
            self._move(lots[place], -part, like)

    def _shares(self, lots: Sequence[Lot], colour: str, count: float) -> tuple[dict[int, float], float]:
        """Returns how much each of the lots that serve the colour gives, by its place, in their turn; and how much
        is missing."""
        lying = [
            LotStock(place, lot.colour_folded, lot.on_hand, lot.received_on, self._is_old(lot))
            for place, lot in enumerate(lots)
            if lot.set_aside_at is None
        ]
        left, available = count, {one.key: max(0.0, one.count) for one in lying}
        given: dict[int, float] = {}
        for one in lots_for_colour(lying, available, colour, self._by_colour(lots)):
            given[one.key] = min(left, available[one.key])
            left -= given[one.key]
        return given, max(0.0, round(left, PLACES))

    def _by_colour(self, lots: Sequence[Lot]) -> bool:
        """Returns whether any lot of the article has a colour. lots: those that were read."""
        if any(lot.colour_folded != ANY for lot in lots):
            return True
        has_colour = select(Lot.id).where(self._is_mine, Lot.colour_folded > ANY).limit(1)
        return self._session.scalar(has_colour) is not None

    def _is_old(self, lot: Lot) -> bool:
        """Returns whether something of the lot is left that is too old to be filled."""
        return lot.received_on < self._old_before and lot.on_hand > 0

    def give_back(self, count: float | None, like: StockMove, colour: str = ANY) -> None:
        """Gives back the count of what is gone for the same reason, or all of it if the count is None.

        It goes to the lots that gave last, which are the old ones; those of the colour come first.
        """
        gone = self.gone(like)
        left = sum(gone.values()) if count is None else count
        lots = self._read(Lot.id.in_(gone)) if gone else ()
        turns = sorted(reversed(lots), key=lambda lot: lot.received_on >= self._old_before)
        for lot in sorted(turns, key=lambda lot: lot.colour_folded != colour):
            back = min(left, gone.get(lot.id, 0.0))
            self._move(lot, back, like)
            left -= back

    def gone(self, like: StockMove) -> dict[int, float]:
        """Returns how much is gone for the same reason and the same batch or order, by the id of the lot."""
        same = StockMove.batch_id == like.batch_id if like.batch_id else StockMove.order_id == like.order_id
        found = select(StockMove.lot_id, -func.sum(StockMove.change)).join(Lot, Lot.id == StockMove.lot_id)
        counts = self._session.execute(
            found.where(StockMove.sort == like.sort, same, self._is_mine).group_by(StockMove.lot_id)
        )
        return {lot_id: count for lot_id, total in counts if (count := round(total, PLACES)) > 0}

    def _move(self, lot: Lot, change: float, like: StockMove) -> None:
        """Changes the count of the lot and records the move; does nothing for a change that rounds to 0."""
        change = round(change, PLACES)
        if not change:
            return
        lot.on_hand = round(lot.on_hand + change, PLACES)
        reason = {name: getattr(like, name) for name in ("sort", "batch_id", "order_id", "why", "at", "who")}
        self._session.add(StockMove(lot_id=lot.id, change=change, **reason))
        self._session.flush()  # `gone` reads the moves from the database
