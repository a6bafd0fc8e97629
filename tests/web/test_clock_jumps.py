"""A computer whose clock jumps: forms and names stay valid, and no history runs backwards."""

import re
from datetime import UTC, datetime, timedelta

import pytest
from freezegun import freeze_time
from sqlalchemy import select

from app.actions.bench.taps import undo_tap
from app.actions.records.catalogue import load_catalogue
from app.store.models import StaffMember, Tap
from tests.actions.builders import EIGHT, at, ctx, line, order_request, take, tap
from tests.conftest import SATURDAY_MORNING
from tests.places.payloads import payload

JUMPS = [timedelta(hours=1), timedelta(days=3660)]
"""While a form is young, and beyond every age."""
BOTH_WAYS = [sign * jump for jump in JUMPS for sign in (1, -1)]


@pytest.fixture
def now():
    """Every clock of the process, as a jump moves every one."""
    with freeze_time(SATURDAY_MORNING) as clock:
        yield clock


@pytest.fixture
def browser(build_app, database, now):
    """A browser at the app as it is served, whose own clock is right, with a name chosen."""
    browser = build_app(database.engine.url).test_client()
    token = _token(browser)
    browser.post("/staff/new", data={"name": "Isolde", "csrf_token": token})
    browser.post("/staff/", data={"name": "Isolde", "csrf_token": token})
    return browser


def _token(browser):
    return re.search(r'<meta name="csrf-token" content="([^"]+)">', browser.get("/counter/").text)[1]


def _name(browser):
    return re.search(r'data-who="([^"]*)"', browser.get("/bench").text)[1]


@pytest.mark.parametrize("jump", BOTH_WAYS, ids=str)
def test_a_form_that_was_open_is_saved_and_the_name_stays(browser, database, now, jump):
    token = _token(browser)
    now.move_to(SATURDAY_MORNING + jump)
    sent = payload(csrf_token=token, event_date=(datetime.now(UTC) + timedelta(days=1)).date().isoformat())
    assert browser.post("/counter/orders", data=sent).status_code in (303, 422)  # 400 would be a form too old
    assert browser.post("/staff/new", data={"name": "Maren", "csrf_token": token}).status_code == 303
    assert _name(browser) == "Isolde"
    with database.reading() as session:
        assert set(session.scalars(select(StaffMember.name))) == {"Isolde", "Maren"}


@pytest.mark.parametrize("jump", BOTH_WAYS, ids=str)
def test_a_form_that_was_drawn_during_the_jump_is_saved_after_it(browser, now, jump):
    now.move_to(SATURDAY_MORNING + jump)
    token = _token(browser)
    now.move_to(SATURDAY_MORNING)
    assert browser.post("/staff/new", data={"name": "Maren", "csrf_token": token}).status_code == 303
    assert _name(browser) == "Isolde"


def test_a_cookie_of_a_clock_that_fell_to_1970_is_not_old_for_a_browser_with_the_right_time(browser, now):
    now.move_to(datetime(1970, 1, 2, tzinfo=UTC))
    cookie = browser.get("/bench").headers["Set-Cookie"]
    expires = re.search(r"Expires=\w+, \d+ \w+ (\d+)", cookie)[1]
    assert int(expires) > 2100


def test_a_cookie_that_somebody_else_made_is_no_session(browser):
    browser.set_cookie("stillaloft", "eyJ3aG8iOiJNYXJlbiJ9.Z0AAAA.forged")
    assert _name(browser) == ""


@pytest.fixture
def batch(session):
    order = take(session, order_request(load_catalogue(session), line(load_catalogue(session))))
    return order.batches[0]


@pytest.mark.parametrize("jump", BOTH_WAYS, ids=str)
def test_the_taps_of_a_batch_never_run_backwards(session, batch, jump):
    for number, moment in enumerate((at(8), at(8, 5) + jump, at(8, 10), at(8, 15))):
        tap(session, batch, "fill", now=moment, key=f"key-{number}", count=6)
    times = session.scalars(select(Tap.at).where(Tap.batch_id == batch.id).order_by(Tap.id)).all()
    assert len(times) == 4
    assert times == sorted(times)
    assert batch.started_at == times[0] <= batch.filled_at == times[-1]


def test_neither_does_an_undo_or_what_follows_it(session, batch):
    tap(session, batch, "fill", now=at(9), count=6)
    first = session.scalars(select(Tap)).one()
    undo_tap(ctx(session, now=EIGHT), batch.key, first.id)
    assert first.undone_at == first.at == at(9)
    tap(session, batch, "fill", now=EIGHT, count=6)
    assert batch.started_at == at(9)


def test_another_batch_keeps_the_time_of_the_clock(session):
    catalogue = load_catalogue(session)
    order = take(session, order_request(catalogue, line(catalogue), line(catalogue, "12 in latex")))
    tap(session, order.batches[0], "fill", now=at(9), count=1)
    tap(session, order.batches[1], "fill", now=EIGHT, count=1)
    assert [one.started_at for one in order.batches] == [at(9), EIGHT]
