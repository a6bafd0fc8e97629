"""Opening hours of the week and of single dates move the latest start of open orders."""

from datetime import date

import pytest
from sqlalchemy.exc import IntegrityError

from app.actions.records.shop import load_opening
from app.actions.shop.office import change_week, delete_exception_hours, replan_open_orders, save_exception_hours
from tests.actions.builders import EIGHT, MORNING, at, ctx, order_request, take

NINE_TO_FIVE = (9 * 60, 17 * 60)
TODAY = date(2026, 11, 21)


def _early(session, catalogue):
    """Collected at 8:30: only just possible when the shop opens at 8."""
    order = take(session, order_request(catalogue, ready_by=at(9), event_start=at(11), lasts_until=at(13)))
    return order.batches[0]


def test_a_later_opening_sends_the_work_to_the_evening_before(session, catalogue):
    batch = _early(session, catalogue)
    assert batch.inflate_by.date() == TODAY
    change_week(session, dict.fromkeys(range(7), NINE_TO_FIVE))
    replan_open_orders(ctx(session, now=MORNING))
    assert batch.inflate_by.date() == date(2026, 11, 20)
    assert batch.inflate_by.hour == 16


def test_a_closed_date_sends_the_work_to_the_evening_before(session, catalogue):
    batch = _early(session, catalogue)
    save_exception_hours(session, TODAY, None)
    replan_open_orders(ctx(session, now=MORNING))
    assert batch.inflate_by.date() == date(2026, 11, 20)
    delete_exception_hours(session, TODAY)
    replan_open_orders(ctx(session, now=MORNING))
    assert batch.inflate_by.date() == TODAY


def test_other_hours_on_one_date_count_on_that_date_alone(session, catalogue):
    today = take(
        session, order_request(catalogue, ready_by=at(18), event_start=at(19), lasts_until=at(20))
    ).batches[0]
    tomorrow = take(
        session,
        order_request(catalogue, ready_by=at(18, days=1), event_start=at(19, days=1), lasts_until=at(20, days=1)),
        key="key-2",
    ).batches[0]
    late = (today.inflate_by, tomorrow.inflate_by)
    save_exception_hours(session, TODAY, (8 * 60, 16 * 60))
    replan_open_orders(ctx(session, now=EIGHT))
    assert (late[0] - today.inflate_by).total_seconds() == 2 * 3600
    assert tomorrow.inflate_by == late[1]


def test_an_exception_can_be_corrected(session):
    save_exception_hours(session, TODAY, None)
    save_exception_hours(session, TODAY, NINE_TO_FIVE)
    opens, closes = load_opening(session).exceptions[TODAY]
    assert (opens.hour, closes.hour) == (9, 17)


def test_a_weekday_left_out_is_closed(session):
    change_week(session, {5: NINE_TO_FIVE, 6: None})
    opening = load_opening(session)
    assert list(opening.week) == [5]
    assert not opening.is_open(at(10, days=1))
    assert opening.is_open(at(10))


def test_the_hours_are_the_shops_local_ones(session):
    """In June London's clocks run an hour ahead of UTC."""
    opening = load_opening(session)
    assert opening.is_open(at(7, 30).replace(month=6))
    assert not opening.is_open(at(7, 30))


def test_the_evening_goes_on_after_midnight_for_work_that_is_due_then(session, catalogue):
    """Collected at one: the work is of that night, not of the day before."""
    change_week(session, dict.fromkeys(range(7), (18 * 60, 26 * 60)))
    order = take(
        session,
        order_request(catalogue, ready_by=at(1, days=1), event_start=at(2, days=1), lasts_until=at(4, days=1)),
    )
    assert at(23) < order.batches[0].inflate_by < at(1, days=1)


@pytest.mark.parametrize(
    "hours",
    [(0, 0), (-1, 600), (1440, 1500), (600, 2041), (600, 500)],
    ids=lambda hours: f"{hours[0]} to {hours[1]}",
)
def test_the_database_refuses_hours_that_are_none(session, hours):
    with pytest.raises(IntegrityError), session.begin_nested():
        change_week(session, {0: hours})
