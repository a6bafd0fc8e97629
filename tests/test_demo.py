"""The demo: an invented shop around any moment, in a file of its own that nothing is lost from."""

import shutil
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from freezegun import freeze_time
from sqlalchemy import func, select

import seed_demo
from app.planning.shoptime import local_day
from app.serving import UP_TO_DATE
from app.store.models import Order, OrderBatch, Tap
from tests.commands import APP, DEMO, run_apart, run_here
from tests.conftest import DEMO_NOON, open_unsafely
from tests.numbers_in import numbers_in

LONDON = ZoneInfo("Europe/London")
AROUND_TODAY = ("--days", "0")
"""The demo without the year before."""
MOMENTS = [
    datetime(2026, 7, 4, 22, 59, 59, tzinfo=UTC),  # a second to midnight there
    datetime(2026, 3, 29, 0, 59, tzinfo=UTC),  # the clocks go forward in a minute
    datetime(2026, 10, 25, 1, 30, tzinfo=UTC),  # 1:30 for the second time
]


def _numbers(file):
    database = open_unsafely(file)
    with database.reading() as session:
        numbers = session.scalars(select(Order.number).order_by(Order.number)).all()
    database.engine.dispose()
    return numbers


def test_the_demo_fills_a_file_beside_nothing_else(tmp_path):
    status, said = run_here(DEMO, tmp_path, *AROUND_TODAY)
    assert (status, numbers_in(said)) == (0, [len(seed_demo.DEMO_ORDERS)])
    assert [file.name for file in tmp_path.iterdir()] == ["demo.sqlite"]
    assert len(_numbers(tmp_path / "demo.sqlite")) == len(seed_demo.DEMO_ORDERS)


def test_the_demo_run_twice_neither_duplicates_nor_destroys_orders(tmp_path, demo_file):
    once = _numbers(shutil.copy(demo_file, tmp_path))
    status, said = run_here(DEMO, tmp_path, *AROUND_TODAY)
    assert (status, said) == (0, f"{seed_demo.NOTHING_ADDED}\n")
    assert _numbers(tmp_path / "demo.sqlite") == once
    assert len(once) == len(seed_demo.DEMO_ORDERS)


@pytest.fixture
def few_orders(monkeypatch):
    """A demo of three orders, which is filled sooner."""
    monkeypatch.setattr(seed_demo, "DEMO_ORDERS", seed_demo.DEMO_ORDERS[:3])


def test_a_second_reset_keeps_what_the_first_set_aside(tmp_path, demo_file, few_orders):
    shutil.copy(demo_file, tmp_path)
    first = shutil.copy(demo_file, tmp_path / "demo.sqlite.before-reset")
    assert run_here(DEMO, tmp_path, "--reset", *AROUND_TODAY)[0] == 0
    assert len([file for file in tmp_path.iterdir() if file.suffix != ".sqlite"]) == 2
    assert first.read_bytes() == demo_file.read_bytes()


def test_a_reset_sets_the_old_file_aside_and_makes_a_new_one(tmp_path, demo_file, few_orders):
    before = _numbers(shutil.copy(demo_file, tmp_path))
    status, said = run_here(DEMO, tmp_path, "--reset", *AROUND_TODAY)
    assert (status, numbers_in(said)) == (0, [3])
    assert _numbers(tmp_path / "demo.sqlite.before-reset") == before
    assert len(_numbers(tmp_path / "demo.sqlite")) == 3


def test_a_sound_database_is_told_so(tmp_path, demo_file):
    """By the command as it is typed, in a process of its own."""
    url = f"sqlite:///{shutil.copy(demo_file, tmp_path)}"
    status, said = run_apart(APP, tmp_path, "check", DATABASE_URL=url)
    assert status == 0
    assert "SQLite 3." in said
    assert said.endswith(f"{UP_TO_DATE}.\n")


def test_a_reset_without_a_file_begins_one(tmp_path, few_orders):
    """In the database that the environment names."""
    file = tmp_path / "elsewhere.db"
    assert run_here(DEMO, tmp_path, "--reset", *AROUND_TODAY, DATABASE_URL=f"sqlite:///{file}")[0] == 0
    assert len(_numbers(file)) == len(seed_demo.DEMO_ORDERS)
    assert list(tmp_path.iterdir()) == [file]


def _days(database):
    with database.reading() as session:
        return {local_day(moment, LONDON) for moment in session.scalars(select(OrderBatch.inflate_by))}


def _expect_alive(database, moment, build_app):
    """Batches for yesterday, today and tomorrow, nothing done in the future, what left yesterday handed over, and
    every page can be shown."""
    today, day = local_day(moment, LONDON), timedelta(days=1)
    assert {today - day, today, today + day} <= _days(database)
    with database.reading() as session:
        assert session.scalar(select(func.max(Tap.at))) <= moment
        assert session.scalar(select(func.max(Order.taken_at))) <= moment
        leaving = session.execute(select(Order.ready_by, Order.state)).all()
    yesterdays = [state for ready_by, state in leaving if local_day(ready_by, LONDON) < today]
    assert yesterdays == ["handed over"] * sum(demo.day < 0 for demo in seed_demo.DEMO_ORDERS)
    with freeze_time(moment):
        client = build_app(database.engine.url).test_client()
        for path in ("/bench", f"/bench?day={today + day}", "/pickups/", "/office/review", "/counter/"):
            assert client.get(path).status_code == 200, path


@pytest.mark.parametrize("moment", MOMENTS, ids=str)
def test_the_demo_around_a_moment(build_app, database, moment):
    """One test for all of it, since filling a shop takes longer than looking at it."""
    with database.writing() as session:
        assert seed_demo.fill_shop(session, moment) == len(seed_demo.DEMO_ORDERS)
    _expect_alive(database, moment, build_app)


def test_the_demo_at_noon(build_app, demo_file, tmp_path):
    database = open_unsafely(shutil.copy(demo_file, tmp_path))
    _expect_alive(database, DEMO_NOON, build_app)
    database.engine.dispose()


def test_most_of_the_demo_is_safe_and_each_risk_is_accepted_and_none_is_hopeless(demo_file, tmp_path):
    database = open_unsafely(shutil.copy(demo_file, tmp_path))
    with database.reading() as session:
        orders = session.execute(select(Order.customer, Order.verdict, Order.accepted_risk)).all()
    database.engine.dispose()
    assert len(orders) == len(seed_demo.DEMO_ORDERS)
    risks = {(customer, verdict) for customer, verdict, _ in orders if verdict != "safe"}
    assert risks == {("Rafferty Moss", "risky"), ("Zephyrwick Fete", "risky")}
    assert all((verdict == "safe") != bool(accepted) for _, verdict, accepted in orders)


def test_the_demos_phone_numbers_are_ones_kept_for_fiction():
    """Ofcom keeps 01632 960000 to 960999 for drama."""
    assert all(demo.phone.startswith("01632 960") for demo in seed_demo.DEMO_ORDERS)


def test_the_command_makes_as_many_days_as_it_is_told(tmp_path, monkeypatch):
    """What is made on these days is looked at in tests/demo."""
    told = []
    monkeypatch.setattr(seed_demo, "fill_shop", lambda session, moment, days: told.append(days) or 7)
    status, said = run_here(DEMO, tmp_path, "--days", "9")
    assert (status, numbers_in(said), told) == (0, [7], [9])


@pytest.mark.parametrize("days", ["-1", "5000", "many"])
def test_the_command_refuses_days_that_cannot_be(tmp_path, days, capsys):
    with pytest.raises(SystemExit):
        seed_demo.main(["--days", days])
    assert days in capsys.readouterr().err
