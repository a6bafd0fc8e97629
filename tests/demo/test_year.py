"""The orders of the demo's year: made by copies, they are as if they had been lived."""

import shutil
from collections import Counter as Count
from collections import defaultdict
from datetime import timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import func, select, text

import seed_demo
from app.actions.bench.taps import FILLS
from app.actions.money.account import load_account
from app.actions.records.descriptions import HistoryFormats, describe_order
from app.demo.year.copies import MOMENTS_IN_WORDS
from app.demo.year.days import LAST_TAKEN, REST_OF_YEAR
from app.demo.year.lives import FEE
from app.planning.shoptime import local_day
from app.quoting.states import HandOverStep, OrderState, TapAction
from app.store.models import (
    Counter,
    Customer,
    HistoryEntry,
    Lot,
    Order,
)
from app.store.open_flags import says_unpaid, says_unreturned
from app.store.queries.review import cancelled, completed, missed, totals
from tests.actions.builders import ctx
from tests.commands import APP, run_apart
from tests.conftest import DEMO_NOON, open_unsafely

LONDON = ZoneInfo("Europe/London")
DAYS = 365
OF_YEAR = Order.client_key.like("year %")


def test_the_file_is_sound_and_every_row_refers_to_one_that_is_there(made, year_file, tmp_path):
    assert made.execute(text("PRAGMA integrity_check")).scalars().all() == ["ok"]
    assert made.execute(text("PRAGMA foreign_key_check")).all() == []
    url = f"sqlite:///{shutil.copy(year_file, tmp_path)}"
    assert run_apart(APP, tmp_path, "check", DATABASE_URL=url)[0] == 0


def test_the_orders_around_today_are_the_same_with_and_without_the_year(made, demo_file):
    def around_today(session):
        found = select(Order).where(Order.client_key.like("demo-%")).order_by(Order.number)
        return [(*_figures(order), *map(_progress, order.batches)) for order in session.scalars(found)]

    without = open_unsafely(demo_file)
    with without.reading() as session:
        expected = around_today(session)
    without.engine.dispose()
    assert len(expected) == len(seed_demo.DEMO_ORDERS)
    assert around_today(made) == expected


def _figures(order):
    return order.customer, order.state, order.taken_at, order.ready_by, order.total_minor, order.cost


def _progress(batch):
    return batch.inflate_by, batch.filled, batch.bursts, batch.chance


def test_the_year_leaves_nothing_to_do(made, orders):
    """But for the orders around today: nothing is in stock or in a cylinder, and the year's orders are over."""
    today = local_day(DEMO_NOON, LONDON)
    last = max(local_day(order.ready_by, LONDON) for order in orders)
    assert last == today - timedelta(days=REST_OF_YEAR)
    assert min(local_day(order.ready_by, LONDON) for order in orders) == today - timedelta(days=DAYS)
    assert {order.state for order in orders if not order.not_made_at} == {
        OrderState.HANDED_OVER,
        OrderState.CANCELLED,
    }
    assert not any(order.unreturned for order in orders)
    lots = made.scalars(select(Lot.on_hand).where(Lot.client_key.like("delivery %"))).all()
    assert len(lots) > 100
    assert set(lots) == {0.0}


def test_numbers_are_in_order_of_time_and_the_next_order_goes_on(made, orders):
    assert [order.taken_at for order in orders] == sorted(order.taken_at for order in orders)
    numbers = made.scalars(select(Order.number).order_by(Order.number)).all()
    assert numbers == [*range(numbers[0], numbers[0] + len(numbers))]
    assert made.scalar(select(Counter.value).where(Counter.name == "order")) == numbers[-1]
    around_today = made.scalar(select(func.min(Order.taken_at)).where(~OF_YEAR))
    assert orders[-1].taken_at < around_today
    assert local_day(orders[-1].taken_at, LONDON) == local_day(DEMO_NOON, LONDON) - timedelta(days=LAST_TAKEN + 1)


def test_each_state_is_what_the_taps_say(orders, taps):
    for order in orders:
        mine = taps[order.id]
        assert [tap.at for tap in mine] == sorted(tap.at for tap in mine)
        assert all(order.taken_at <= tap.at < DEMO_NOON and tap.undone_at is None for tap in mine)
        out = [tap.at for tap in mine if tap.act == HandOverStep.HANDED_OVER]
        assert out == ([order.handed_over_at] if order.state == OrderState.HANDED_OVER else [])
        for batch in order.batches:
            own = [tap for tap in mine if tap.batch_id == batch.id]
            fills = [tap for tap in own if tap.act in FILLS]
            bursts = Count(tap.colour for tap in own if tap.act == "burst")
            assert batch.started_at == (own[0].at if own else None)
            assert batch.filled == sum(tap.count for tap in fills)
            assert dict(batch.bursts) == bursts
            assert batch.filled_at == (fills[-1].at if batch.filled == batch.quantity else None)
            assert batch.key.startswith(f"{order.number}-")
            assert order.state != OrderState.HANDED_OVER or batch.filled == batch.quantity


def test_work_is_done_in_opening_hours_and_in_time_unless_late(made, orders, taps):
    opening, late = ctx(made, now=DEMO_NOON).shop.opening, 0
    for order in orders:
        assert opening.is_open(order.taken_at)
        assert all(opening.is_open(tap.at) for tap in taps[order.id] if tap.batch_id), order.number
        ready = [tap.at for tap in taps[order.id] if tap.act == HandOverStep.READY]
        late += bool(ready) and max(ready) > order.ready_by
        for batch in order.batches:
            moments = [leg[0] for leg in batch.float_plan["legs"]] + [batch.float_plan["starts_by"]]
            assert all(abs(order.ready_by.timestamp() - at) < 3 * 86_400 for at in moments)
    assert 0.02 < late / len(orders) < 0.10


def test_some_work_slower_and_some_quicker_than_planned(orders, taps):
    """Of somebody on a day, all batches; the whole year is near to what was planned."""
    took, planned = defaultdict(float), Count()
    for order in orders:
        ends = {tap.batch_id: tap for tap in taps[order.id] if tap.act == TapAction.FINISH}
        for batch in order.batches:
            if batch.id in ends and batch.started_at and batch.started_at < batch.filled_at:
                for whose in (ends[batch.id].who, "all", local_day(batch.filled_at, LONDON)):
                    took[whose] += (batch.filled_at - batch.started_at) / timedelta(minutes=1)
                    planned[whose] += batch.work_minutes
    shares = {whose: took[whose] / planned[whose] for whose in took}
    people = sorted(share for whose, share in shares.items() if isinstance(whose, str) and whose != "all")
    days = [share for whose, share in shares.items() if not isinstance(whose, str)]
    assert 0.9 < shares["all"] < 1.15
    assert people[0] < 0.95
    assert people[-1] > 1.1
    assert sum(share < 0.9 for share in days) > 20
    assert sum(share > 1.1 for share in days) > 20


def test_payments_and_flags_are_what_the_account_says(made, orders):
    said = made.execute(select(Order.id, says_unpaid(), says_unreturned())).all()
    flags = {order_id: (bool(unpaid), bool(unreturned)) for order_id, unpaid, unreturned in said}
    ends = Count()
    for order in orders:
        account = load_account(made, order)
        assert (order.unpaid, order.unreturned) == flags[order.id] == (account.due_minor > 0, False)
        assert account.due_minor >= 0
        ends[order.state, order.unpaid] += 1
        if order.state == OrderState.CANCELLED and order.cancel_fee_minor:
            assert order.cancel_fee_minor == FEE.of(order.total_minor) == account.paid_minor
    assert ends[OrderState.HANDED_OVER, True] > 5
    assert sum(bool(order.cancel_fee_minor) for order in orders) > 20
    assert sum(order.state == OrderState.CANCELLED and not order.cancel_fee_minor for order in orders) > 1
    assert sum(bool(order.not_made_at) for order in orders) > 3


def test_the_history_tells_each_order_as_it_is(made, orders):
    entries = defaultdict(list)
    for entry in made.scalars(select(HistoryEntry).order_by(HistoryEntry.id)):
        entries[entry.order_id].append(entry)
    formats = HistoryFormats.of(ctx(made, now=DEMO_NOON).shop)
    people = set(seed_demo.STAFF)
    for order in orders:
        mine = entries[order.id]
        assert (mine[0].act, mine[0].at) == ("saved", order.taken_at)
        assert [entry.at for entry in mine] == sorted(entry.at for entry in mine)
        assert mine[-1].order_version == order.version
        assert {entry.who for entry in mine} <= people
        assert dict(mine[-1].description) == describe_order(order, formats)
        first = dict(mine[0].description)
        assert all(first[words] == dict(mine[-1].description)[words] for words in MOMENTS_IN_WORDS)
        acts = Count(entry.act for entry in mine)
        assert acts["handed over"] + acts["handed over anyway"] == (order.state == OrderState.HANDED_OVER)
        assert acts["cancelled"] == bool(order.cancelled_at)
        assert acts["not made"] == bool(order.not_made_at)


def test_customers_come_back_and_know_their_last_order(made, orders):
    last, often = {}, Count(order.customer_id for order in orders if order.customer_id)
    for order in orders:
        if order.customer_id:
            last[order.customer_id] = order.taken_at
    people = {one.id: one for one in made.scalars(select(Customer))}
    assert {customer_id: people[customer_id].last_order_at for customer_id in last} == last
    for order in orders:
        if order.customer_id:
            known = people[order.customer_id]
            assert (order.customer, order.phone) == (known.name, known.phones[0].shown)
            assert known.phone_digits == order.phone_digits
    assert sum(count > 1 for count in often.values()) / len(often) > 0.4
    assert max(often.values()) > 10
    phones = [person.phones[0].shown for person in people.values()]
    assert len({*phones}) == len(phones)
    assert all(phone.startswith("01632 960") for phone in phones)


def test_the_review_adds_up(made, orders):
    start, end = (DEMO_NOON - timedelta(days=ago) for ago in (400, 1))
    rows, sums = completed(made, start, end), totals(made, start, end)
    own = [order for order in orders if order.state == OrderState.HANDED_OVER]
    around_today = {row.number for row in rows} - {order.number for order in own}
    assert {order.number for order in own} <= {row.number for row in rows}
    assert len(around_today) < len(seed_demo.DEMO_ORDERS)
    assert sums.orders == len(rows)
    for name in ("balloons", "bursts", "revenue_minor", "net_minor", "cost_minor"):
        assert getattr(sums, name) == sum(getattr(row, name) for row in rows), name
    assert sums.on_time == sum(not row.minutes_late for row in rows)
    not_made = missed(made, start, end, DEMO_NOON, DEMO_NOON)
    assert {row.number for row in not_made} >= {order.number for order in orders if order.not_made_at}
    called_off = {order.number for order in orders if order.cancelled_at}
    assert {row.number for row in cancelled(made, start, end)} == called_off


def test_the_year_is_busy_when_people_celebrate(orders):
    """By month and by weekday; sales over the counter are among them."""
    months = Count(order.ready_by.astimezone(LONDON).month for order in orders)
    weekdays = Count(order.ready_by.astimezone(LONDON).weekday() for order in orders)
    assert months[6] > 1.3 * months[1]
    assert weekdays[5] > 2 * weekdays[0]
    assert 500 < sum(order.is_quick_sale for order in orders) < len(orders) / 2
