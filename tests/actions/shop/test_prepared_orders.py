"""Open orders calculated ahead: saving what was prepared saves just what calculating them then would."""

import shutil
from pathlib import Path

import pytest
from sqlalchemy import select

from app.actions.records.catalogue import load_catalogue
from app.actions.records.history import history_of
from app.actions.records.orders import load_order
from app.actions.records.shop import load_shop
from app.actions.shop.office import change_settings, change_week, replan_open_orders
from app.actions.shop.prepared_orders import prepare_open_orders, save_open_orders, still_good
from app.quoting.request import HandOver
from app.store.models import Order, OrderBatch
from app.store.open_flags import DECISIVE
from app.store.types import Base
from tests.actions.builders import BENCH_REASON, EIGHT, at, ctx, line, order_request, take, tap
from tests.conftest import open_unsafely

TABLES = Base.metadata.sorted_tables
SMALLER = {"calibration": 12}
CLOSED_TODAY = dict.fromkeys(range(5), (9 * 60, 17 * 60))


def _day(days):
    """The hours of an order that is for another day."""
    return {"ready_by": at(14, days=days), "event_start": at(15, days=days), "lasts_until": at(17, days=days)}


@pytest.fixture
def database(database):
    """Orders of several sorts: one of them is started, one is filled at the venue."""
    with database.writing() as session:
        catalogue = load_catalogue(session)
        foil = line(catalogue, "18 in foil", 3)
        take(session, order_request(catalogue, lasts_until=at(20)), key="a")
        started = take(session, order_request(catalogue, foil, ready_by=at(13)), key="b")
        tap(session, started.batches[0], "start")
        venue = {"hand_over": HandOver.VENUE, "arrives_at": at(12), "address": "The pier", "crew": 2}
        venue |= {"set_up_minutes": 20, "travel_minutes": 30, "hanging_minutes": 30}
        take(session, order_request(catalogue, bench_override=BENCH_REASON, **venue), key="c")
        take(session, order_request(catalogue, **_day(1)), key="d")
    return database


@pytest.fixture
def twin(database, tmp_path):
    """The same shop in another file."""
    file = Path(database.engine.url.database)
    database.engine.dispose()
    copied = open_unsafely(shutil.copy(file, tmp_path / "twin.sqlite"))
    yield copied
    copied.engine.dispose()


def _rows(database):
    with database.reading() as session:
        return {table.name: session.execute(select(table).order_by(*table.primary_key)).all() for table in TABLES}


def _prepare(database, change, report=lambda *_: None, now=EIGHT):
    """What is prepared by a shop that was changed and is not saved."""
    with database.writing() as session:
        block = session.begin_nested()
        change(session)
        shop, catalogue = load_shop(session), load_catalogue(session)
        block.rollback()
    return prepare_open_orders(database, shop, catalogue, now, report)


def _save(database, change, prepared, now=EIGHT):
    with database.writing() as session:
        change(session)
        good = still_good(session, prepared)
        return good, save_open_orders(ctx(session, now=now), good)


def _settings(**values):
    return lambda session: change_settings(session, values)


CHANGES = {
    "sink sooner": _settings(**SMALLER),
    "float longer": _settings(calibration=60),
    "outdoors and slower": _settings(certainty_percent=97, handle_seconds=90, clock="12 h"),
    "other prices": _settings(tax_percent=8),
    "closed": lambda session: change_week(session, CLOSED_TODAY),
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_it_saves_what_calculating_at_once_saves(database, twin, change):
    with twin.writing() as session:
        change(session)
        expected = replan_open_orders(ctx(session, now=EIGHT))
    good, worse = _save(database, change, _prepare(database, change))
    assert len(good) == 4
    assert worse == expected
    assert _rows(database) == _rows(twin)


def test_the_changes_above_change_orders(database):
    """Else the test before proves nothing."""
    before = _rows(database)
    _, worse = _save(database, CHANGES["sink sooner"], _prepare(database, CHANGES["sink sooner"]))
    assert worse
    after = _rows(database)
    assert all(before[table] != after[table] for table in ("orders", "batch", "history_entry"))


def test_preparing_saves_nothing_and_says_how_far_it_is(database):
    before, reports = _rows(database), []
    prepared = _prepare(database, CHANGES["sink sooner"], lambda *far: reports.append(far))
    assert _rows(database) == before
    assert reports == [(1, 4), (2, 4), (3, 4), (4, 4)]
    assert len(prepared) == 4


def test_what_it_writes_changes_no_flag_of_an_order(database):
    """The flags of paid and returned follow writes of the session, not those of what was prepared."""
    written = {name for one in _prepare(database, CHANGES["sink sooner"]).values() for name in one.changed}
    assert written
    assert not written & {*DECISIVE}


def _tap(session):
    order = load_order(session, 1001)
    tap(session, order.batches[0], "start", sure=True)


def _note(session):
    load_order(session, 1001).holding_place = "By the door"


def _new_order(session):
    take(session, order_request(load_catalogue(session), **_day(2)), key="e")


def _unnumbered(entries):
    """Entries of the history without their ids, which follow the order in which they were written."""
    return sorted(entry[1:] for entry in entries)


@pytest.mark.parametrize(
    ("meanwhile", "good"), [(_tap, 3), (_note, 3), (_new_order, 4)], ids=["tap", "note", "new order"]
)
def test_an_order_that_changed_meanwhile_is_calculated_at_once(database, twin, meanwhile, good):
    change = CHANGES["sink sooner"]
    prepared = _prepare(database, change)
    for one in (database, twin):
        with one.writing() as session:
            meanwhile(session)
    with twin.writing() as session:
        change(session)
        expected = replan_open_orders(ctx(session, now=EIGHT))
    found, worse = _save(database, change, prepared)
    assert len(found) == good
    assert {one.number: one for one in worse} == {one.number: one for one in expected}
    rows, others = _rows(database), _rows(twin)
    assert _unnumbered(rows.pop("history_entry")) == _unnumbered(others.pop("history_entry"))
    assert rows == others


def test_an_order_whose_batches_come_and_go_is_calculated_while_it_is_saved(database):
    with database.writing() as session:
        load_order(session, 1001).batches[0].gas = "air"  # as no line of it asks for
    prepared = _prepare(database, CHANGES["float longer"])
    assert [one.needs_saving for one in prepared.values()].count(True) == 1
    good, _ = _save(database, CHANGES["float longer"], prepared)
    assert len(good) == 4
    with database.reading() as session:
        order = load_order(session, 1001)
        assert [batch.gas for batch in order.batches] == ["helium"]
        assert history_of(session, order)[-1].act == "recalculated"


def test_an_order_that_is_no_longer_open_stays_as_it_is(database):
    prepared = _prepare(database, CHANGES["sink sooner"])
    with database.writing() as session:
        order = load_order(session, 1001)
        order.state, order.cancelled_at = "cancelled", at(9)
    _save(database, CHANGES["sink sooner"], prepared)
    with database.reading() as session:
        order = load_order(session, 1001)
        assert (order.verdict, len(history_of(session, order))) == ("safe", 1)


def test_what_is_raised_in_between_ends_it(database):
    class Enough(Exception):
        pass

    def report(done, _):
        if done == 2:
            raise Enough

    before = _rows(database)
    with pytest.raises(Enough):
        _prepare(database, CHANGES["sink sooner"], report)
    assert _rows(database) == before


def test_it_holds_no_lock_so_that_others_save_meanwhile(database):
    def report(done, _):
        with database.writing() as session:
            session.scalars(select(OrderBatch)).first().bursts = [["red", done]]

    assert len(_prepare(database, CHANGES["sink sooner"], report)) == 4
    with database.reading() as session:
        assert session.scalars(select(OrderBatch)).first().bursts == [["red", 4]]
        assert len(session.scalars(select(Order)).all()) == 4
