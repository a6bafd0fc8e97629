"""Costs, stock and gas of the demo's year: they are as if it had been lived."""

from collections import defaultdict
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import select

from app.actions.gas.reconciliation import GasFinding, compare_used_with_filled
from app.actions.records.rebuild_request import commitments_of, rebuild_request
from app.actions.stock.articles import colour_key
from app.actions.stock.consumption import stock_used_by, supplies_of
from app.demo.year.days import BAD_LOTS
from app.planning.shoptime import local_day
from app.quoting.quote import make_quote
from app.quoting.states import OrderState, StockMoveReason
from app.store.models import (
    Cylinder,
    Delivery,
    Lot,
    OfficeChange,
    StockMove,
)
from tests.actions.builders import ctx
from tests.conftest import DEMO_NOON

LONDON = ZoneInfo("Europe/London")


def test_each_order_costs_what_its_bill_says(made, orders):
    """One order of each sort is quoted again; all orders of a sort have the same figures."""
    context = ctx(made, now=DEMO_NOON)
    sorts = defaultdict(list)
    for order in orders:
        sorts[tuple((line.title, line.quantity, line.colours) for line in order.lines)].append(order)
    assert len(sorts) > 15
    for alike in sorts.values():
        request = rebuild_request(alike[0])
        quote = make_quote(request, context.shop, context.catalogue, alike[0].taken_at, commitments_of(alike[0]))
        bill = quote.bill
        figures = (bill.total_minor, bill.tax_minor, bill.deposit_minor, bill.refundable_minor)
        for order in alike:
            assert (
                order.total_minor,
                order.tax_minor,
                order.deposit_asked_minor,
                order.rental_deposit_minor,
            ) == figures
            assert order.cost_minor == sum(minor for _, minor in order.cost)


def test_costs_rose_and_the_office_remembers_when(orders, made):
    """The same order costs more after each change, and the last costs are those that the shop has today."""
    plain = [order for order in orders if [line.title for line in order.lines] == ["11 in latex"]]
    dated = sorted((order.taken_at, order.cost_minor) for order in plain if order.lines[0].quantity == 30)
    costs = [*dict.fromkeys(cost for _, cost in dated)]
    assert len(costs) == 3
    assert costs == sorted(costs)
    changes = made.scalars(select(OfficeChange).order_by(OfficeChange.at)).all()
    assert {change.at for change in changes} == {changes[0].at, changes[-1].at}
    for change, before, after in ((changes[0], *costs[:2]), (changes[-1], *costs[1:])):
        assert max(at for at, cost in dated if cost == before) < change.at
        assert min(at for at, cost in dated if cost == after) >= change.at


def test_stock_is_what_came_less_what_was_used(made):
    """Of each lot, and at every moment; each lot came with a delivery."""
    moves = defaultdict(list)
    for move in made.scalars(select(StockMove).order_by(StockMove.at, StockMove.id)):
        moves[move.lot_id].append(move)
    came = {row.lot_id: row for row in made.scalars(select(Delivery).where(Delivery.lot_id.is_not(None)))}
    for lot in made.scalars(select(Lot)):
        mine, left = moves[lot.id], 0.0
        assert [move.sort for move in mine].count(StockMoveReason.RECEIVED) == 1
        assert mine[0].sort == StockMoveReason.RECEIVED
        assert mine[0].change == lot.arrived
        for move in mine:
            left += move.change
            assert left > -1e-6, lot.id
        assert left == pytest.approx(lot.on_hand, abs=1e-6)
        if lot.client_key.startswith("delivery "):
            assert came[lot.id].pieces == lot.arrived
            assert came[lot.id].added_at < mine[0].at
            assert local_day(mine[0].at, LONDON) == lot.received_on == came[lot.id].due_on


def test_each_order_took_from_stock_what_it_used(made, orders):
    """Whatever the shop counts: filled and burst balloons by colour, and supplies."""
    lots = {lot.id: lot for lot in made.scalars(select(Lot))}
    counted = {(lot.balloon_type_id, lot.supply_id) for lot in lots.values()}
    used, gone = defaultdict(float), {}
    for move in made.scalars(select(StockMove).where(StockMove.order_id.in_([one.id for one in orders]))):
        lot = lots[move.lot_id]
        used[move.order_id, move.batch_id, lot.supply_id, lot.colour_folded, move.sort] -= move.change
    for order in orders:
        for batch in order.batches:
            if (batch.balloon_type_id, None) in counted:
                gone |= dict(_balloons_gone(batch))
        for supply_id, count in supplies_of(order).items():
            if (None, supply_id) in counted and order.state == OrderState.HANDED_OVER:
                gone[order.id, None, supply_id, "", StockMoveReason.HANDED_OVER] = count
    assert len(gone) > 3000
    assert {key: round(count, 6) for key, count in used.items()} == gone


def _balloons_gone(batch):
    """What a batch took from stock, by what a move of it says."""
    of = stock_used_by(batch)
    for colour, count in of.bursts.items():
        yield (batch.order_id, batch.id, None, colour, StockMoveReason.BURST), count
    left = of.filled
    for colour, count in batch.colours:
        if part := min(left, count):
            yield (batch.order_id, batch.id, None, colour_key(colour), StockMoveReason.FILLED), part
        left -= part


def test_the_gauges_agree_with_what_was_filled(made):
    """All the year, looked at from several days; no cylinder of the year is still in the shop."""
    known = made.scalars(select(Cylinder)).all()
    own = {one.name: one.state for one in known if one.client_key.startswith("year")}
    assert {*own.values()} == {"gone back"}
    for days_ago in (0, 80, 160, 240):
        then = DEMO_NOON - timedelta(days=days_ago)
        periods = compare_used_with_filled(ctx(made, now=then), known)
        year = [one for one in periods if own.keys() >= {*one.names}]
        assert len(year) > 5
        assert {one.finding(0.1) for one in year} == {GasFinding.MATCHES}


def test_a_bad_lot_burst_more_often(orders):
    today, per_filled = local_day(DEMO_NOON, LONDON), {}
    for bad in (True, False):
        burst, filled = 0, 0
        for order in orders:
            ago = (today - local_day(order.ready_by, LONDON)).days
            for batch in order.batches:
                for colour, count in batch.colours:
                    is_bad = any(since >= ago >= until and colour == of for since, until, of in BAD_LOTS)
                    if is_bad == bad and batch.filled_at:
                        filled += count
                        burst += dict(batch.bursts).get(colour, 0)
        per_filled[bad] = burst / filled
    assert per_filled[True] > 2 * per_filled[False] > 0
