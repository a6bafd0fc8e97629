"""Which lots give: the same as if all that the shop ever had were looked at, though only a few are read."""

from datetime import timedelta
from random import Random

import pytest
from sqlalchemy import event, select

from app.actions.stock.consumption import _Shelf
from app.planning.lot_allocation import LotStock, lots_for_colour
from app.planning.stock import ANY
from app.quoting.states import StockMoveReason
from app.store.models import Lot, StockMove
from tests.actions.builders import MORNING, line, order_request, take, tap
from tests.actions.stock_helpers import TODAY, balloon_type, lot
from tests.amounts import amount

OLD_BEFORE = TODAY - timedelta(days=300)
COLOURS = ("red", "white", ANY)


@pytest.fixture
def batch(session, catalogue):
    return take(session, order_request(catalogue, line(catalogue, colours="red, white"))).batches[0]


def _stock(session, catalogue, draw, colours):
    """Lots of all sorts: used up, short, set aside, old, of colours and of none."""
    article = balloon_type(catalogue)
    for place in range(draw.randint(0, 12)):
        colour = draw.choice(colours)
        session.add(
            Lot(
                client_key=f"drawn-{place}",
                balloon_type_id=article.balloon_type_id,
                colour=colour,
                colour_folded=colour,
                received_on=TODAY - timedelta(days=draw.choice((0, 5, 5, 200, 310, 500))),
                arrived=100.0,
                on_hand=draw.choice((0.0, 0.0, 0.0, 4.0, 30.0, -3.0)),
                set_aside_at=draw.choice((None, None, None, MORNING)),
            )
        )
    session.flush()
    return article


def _from_all_lots(session, colour, count):
    """What each lot gives if all are looked at, by its id."""
    lots = session.scalars(select(Lot).order_by(Lot.received_on, Lot.id)).all()
    lying = [
        LotStock(one.id, one.colour_folded, one.on_hand, one.received_on,
                 one.received_on < OLD_BEFORE and one.on_hand > 0)
        for one in lots if one.set_aside_at is None
    ]  # fmt: skip
    left, there = count, {one.key: max(0.0, one.count) for one in lying}
    turns = lots_for_colour(lying, there, colour, any(one.colour_folded != ANY for one in lots))
    given = {one.key: 0.0 for one in turns}
    for one in turns:
        given[one.key] = min(left, there[one.key])
        left -= given[one.key]
    if turns:
        given[next((one for one in reversed(turns) if not one.is_old), turns[-1]).key] += left
    return {key: part for key, part in given.items() if part}


@pytest.mark.parametrize("seed", range(amount(40, deep=1000)))
def test_the_lots_that_give_are_those_of_a_look_at_all(session, catalogue, batch, seed):
    draw = Random(seed)
    article = _stock(session, catalogue, draw, draw.choice((COLOURS, (ANY,), ("red",))))
    colour, count = draw.choice(COLOURS), draw.choice((1.0, 6.0, 40.0))
    expected = _from_all_lots(session, colour, count)
    like = StockMove(
        sort=StockMoveReason.FILLED, batch_id=batch.id, order_id=batch.order_id, why="", at=MORNING, who="Noor"
    )
    _Shelf(session, article, OLD_BEFORE).take(colour, count, like)
    moves = session.execute(select(StockMove.lot_id, StockMove.change))
    assert {lot_id: -change for lot_id, change in moves} == expected
    _Shelf(session, article, OLD_BEFORE).give_back(None, like)
    assert sum(session.scalars(select(StockMove.change))) == 0


def test_a_tap_reads_none_of_the_lots_that_are_used_up(session, catalogue, batch):
    for days in range(60):
        lot(session, 10, "red" if days % 2 else "white", days_ago=60 + days).on_hand = 0.0
    lot(session, 40)
    lot(session, 40, "white")
    session.flush()
    for row in [row for row in session if isinstance(row, Lot)]:
        session.expunge(row)
    read = set()

    def note(row, _context):
        read.add(row.id)

    event.listen(Lot, "load", note)
    tap(session, batch, "finish")
    event.remove(Lot, "load", note)
    assert len(read) == 2
