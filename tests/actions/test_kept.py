"""What a quote asks of bench, stock, gas and room is kept until something changes, by whatever hand."""

from dataclasses import replace
from datetime import timedelta

import pytest

from app.actions.bench.alternatives import find_bench_alternatives
from app.actions.bench.fit import load_bench
from app.actions.bench.holding_area import load_holding_area
from app.actions.gas.outlook import gas_outlook
from app.actions.gas.readings import undo_reading
from app.actions.kept import MOST_KEPT, KeptFindings
from app.actions.orders.answer import answer_request
from app.actions.orders.cancel import cancel_order
from app.actions.orders.hand_over import take_step
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import ShopCache
from app.actions.shop.office import ShiftMinutes, change_day_shifts, change_settings, change_shifts
from app.actions.stock.availability import available_for
from app.actions.stock.deliveries import add_delivery
from app.actions.stock.lots import set_aside
from app.planner import Planner
from app.planning.beside import BesideOrders
from app.planning.finishing import Fit
from app.quoting.quote import make_quote
from app.quoting.states import HandOverStep
from app.store.engine import Database
from app.store.models import Cylinder, CylinderReading, Lot, Order
from app.store.work_version import work_version
from tests.actions.builders import (
    ANYWAY,
    CALLED_OFF,
    EIGHT,
    MORNING,
    at,
    change,
    ctx,
    line,
    order_request,
    take,
    tap,
)
from tests.actions.cylinder_helpers import in_use, read
from tests.actions.stock_helpers import balloon_type, lot

TODAY = MORNING.date()
ROOM = 500
MORE_THAN_FITS = 1500
SECOND = timedelta(seconds=1)


class Counter:
    """A process that serves quotes: what it keeps, and what it answers about bench, stock, gas and room."""

    def __init__(self, database):
        self.database, self.kept, self.shops = database, KeptFindings(), ShopCache()

    def ask(self, now=EIGHT, kept=None):
        with self.database.reading() as session:
            built = self.shops.load(session)
            plain = ctx(session, shop=built.shop, catalogue=built.catalogue, now=now)
            context = replace(plain, kept=kept or self.kept)
            quote = make_quote(order_request(built.catalogue), built.shop, built.catalogue, now)
            shelf = available_for(context)
            return (
                load_bench(context, quote),
                shelf,
                gas_outlook(context, quote),
                load_holding_area(context, ROOM),
            )

    def answer(self, quantity, colours="red", **changes):
        """The answer to an order, with what would make it fit."""
        with self.database.reading() as session:
            built = self.shops.load(session)
            context = replace(ctx(session, shop=built.shop, catalogue=built.catalogue, now=EIGHT), kept=self.kept)
            lines = (line(built.catalogue, quantity=quantity, colours=colours),)
            answer = answer_request(context, order_request(built.catalogue, *lines, **changes))
            search = answer.bench_search
            more = find_bench_alternatives(answer.quote, answer.fit, answer.quote_for, search, built.shop)
            return answer.fit, answer.quote.first_fill_by, more.extra_person

    def ask_fresh(self, now=EIGHT):
        return self.ask(now, KeptFindings())


@pytest.fixture
def begun(database):
    """A shop with one order, stock, and a cylinder that is in use."""
    with database.writing() as session:
        lot(session, 200)
        row = in_use(session, bar=150)
        order = take(session, order_request(load_catalogue(session)))
        take(session, order_request(load_catalogue(session), ready_by=at(14)), key="key-2")
        session.flush()
        return order.number, order.batches[0].key, row.id


def _order(session, begun):
    return session.query(Order).filter_by(number=begun[0]).one()


def _deliver(session, begun):
    catalogue = load_catalogue(session)
    article = balloon_type(catalogue)
    return add_delivery(ctx(session), article, "red", 2, TODAY + timedelta(days=1), "delivery-1")


def _fill_all(session, begun):
    batch = _order(session, begun).batches[0]
    return tap(session, batch, "finish", sure=True)


def _ready(session, begun):
    _fill_all(session, begun)
    take_step(ctx(session, now=EIGHT), begun[0], HandOverStep.READY, "step-1", sure=ANYWAY)


def _undo_gauge(session, begun):
    undo_reading(ctx(session, now=EIGHT), begun[2], session.query(CylinderReading).one().id)


CHANGES = {
    "an order": lambda session, begun: take(session, order_request(load_catalogue(session)), key="key-3"),
    "a changed order": lambda session, begun: change(
        session,
        _order(session, begun),
        order_request(load_catalogue(session), line(load_catalogue(session), quantity=30)),
    ),
    "a cancelled order": lambda session, begun: cancel_order(ctx(session), begun[0], 1, CALLED_OFF),
    "a tap": lambda session, begun: tap(session, _order(session, begun).batches[0], "start", sure=True),
    "a filled batch": _fill_all,
    "a step of the hand-over": _ready,
    "a lot": lambda session, begun: lot(session, 20),
    "a lot put away": lambda session, begun: set_aside(ctx(session), session.query(Lot).one().id, "damp"),
    "a delivery": _deliver,
    "a reading of a gauge": lambda session, begun: read(session, session.get_one(Cylinder, begun[2]), 90, EIGHT),
    "an undone reading": _undo_gauge,
    "a cylinder": lambda session, begun: in_use(session, name="Bo"),
    "a shift of the week": lambda session, begun: change_shifts(session, {5: [ShiftMinutes(480, 1000, 3)]}),
    "a shift of a day": lambda session, begun: change_day_shifts(session, TODAY, [ShiftMinutes(480, 1000, 2)]),
    "a setting": lambda session, begun: change_settings(session, {"helium_points": 5}),
}


@pytest.mark.parametrize("what", CHANGES)
def test_the_next_quote_sees_a_change_by_another_process(what, begun, database):
    here = Counter(database)
    before = here.ask()
    assert here.ask()[0] is before[0]
    here.answer(MORE_THAN_FITS)  # so that there is a flow to go on with
    other = Database(str(database.engine.url))
    with other.writing() as session:
        CHANGES[what](session, begun)
    other.engine.dispose()
    after = here.ask()
    assert after == here.ask_fresh()
    assert after != before
    assert here.answer(MORE_THAN_FITS) == Counter(database).answer(MORE_THAN_FITS)


def test_the_next_quote_sees_the_starts_that_the_planner_saved(begun, database, now):
    here = Counter(database)
    before = here.ask()
    Planner(database).plan_now()
    after = here.ask()
    assert after == here.ask_fresh()
    assert [stay.start for stay in after[3].stays] != [stay.start for stay in before[3].stays]


def test_nothing_is_searched_again_within_the_minute_and_all_of_it_in_the_next(begun, database):
    here = Counter(database)
    bench, shelf, gas, room = here.ask(EIGHT + SECOND)
    later = here.ask(EIGHT + 60 * SECOND)
    assert (later[0] is bench, later[1] is shelf, later[3] is room, later[2] == gas) == (True,) * 4
    assert bench.now == EIGHT + 60 * SECOND
    assert here.ask(EIGHT + 61 * SECOND)[0].now == EIGHT + 120 * SECOND


@pytest.mark.parametrize(("quantity", "fit"), [(24, Fit.FITS), (MORE_THAN_FITS, Fit.CANNOT)])
def test_who_types_a_name_or_a_colour_asks_the_planner_nothing(quantity, fit, begun, database, monkeypatch):
    asked = []

    def counted(beside, more, ask=BesideOrders.with_more):
        asked.append(more)
        return ask(beside, more)

    monkeypatch.setattr(BesideOrders, "with_more", counted)
    here = Counter(database)
    first = here.answer(quantity)
    assert first[0].fit is fit
    assert asked
    asked.clear()
    assert here.answer(quantity, "white", customer="Odile") == first
    assert asked == []
    here.answer(quantity + 1)
    assert asked


def test_what_a_session_changed_itself_is_seen_there_and_kept_nowhere(begun, database):
    here = Counter(database)
    before = here.ask()
    with pytest.raises(LookupError), database.writing() as session:  # noqa: PT012
        lot(session, 20)
        assert work_version(session) is None
        raise LookupError("undone")
    assert here.ask()[0] is before[0]


def test_many_changes_of_one_transaction_are_one_version(begun, database):
    def version():
        with database.reading() as session:
            return work_version(session)

    before = version()
    with database.writing() as session:
        lot(session, 20)
        with session.begin_nested():
            lot(session, 30)
    assert version() == before + 1


def test_a_finding_of_an_older_version_replaces_nothing():
    kept = KeptFindings()
    assert kept.load(2, (), "bench", lambda: "new") == "new"
    assert kept.load(1, (), "bench", lambda: "old") == "old"
    assert kept.load(2, (), "bench", lambda: "again") == "new"


def test_no_more_than_so_many_are_kept_and_the_one_asked_last_stays():
    kept, found = KeptFindings(), []

    def ask(key):
        return kept.load(1, (), key, lambda: found.append(key))

    for key in range(MOST_KEPT):
        ask(key)
    ask(0)
    ask("one more")
    found.clear()
    for key in (0, 1):
        ask(key)
    assert found == [1]
