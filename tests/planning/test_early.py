"""Why a batch must wait: the shop is closed, it would sink, or light would age it."""

from datetime import UTC, datetime, timedelta

import pytest

from app.physics.endurance import Endurance
from app.physics.promise import Promise, Scatter
from app.planning.bench_window import BenchWindow
from app.planning.early import Early, EarlyReason, why_early
from app.planning.window import Certainty, FloatPlan, Leg, not_before

NOON = datetime(2026, 11, 21, 12, tzinfo=UTC)
HOUR, MINUTE = timedelta(hours=1), timedelta(minutes=1)
CERTAINTY = Certainty()


def _plan(budget_hours, light_hours):
    """In the shop until noon, then two hours in the dark at the venue. Balloons use up an hour in each hour."""
    endurance = Endurance(budget_hours, Scatter(0.25, 0.05), promise=Promise(22, 24))
    return FloatPlan(endurance, (Leg(NOON, 1.0, 1 / light_hours), Leg(NOON + 2 * HOUR, 1.0)))


@pytest.mark.parametrize(
    ("budget_hours", "light_hours", "reason"),
    [(12, 1000, EarlyReason.SINKS), (1000, 6, EarlyReason.LIGHT), (12, 3, EarlyReason.LIGHT)],
    ids=["float", "light", "light comes first"],
)
def test_what_would_not_last_says_why_until_its_minute(budget_hours, light_hours, reason):
    plan = _plan(budget_hours, light_hours)
    safe = not_before(plan.legs, plan.endurance, CERTAINTY.safe)
    window = BenchWindow(safe, NOON, NOON + HOUR)
    early = why_early(window, safe, plan, CERTAINTY, safe - MINUTE)
    assert early == Early(reason, safe, no_earlier=False)
    assert early.costs_float_time
    assert why_early(window, safe, plan, CERTAINTY, safe) is None


def test_in_a_closed_shop_it_waits_for_the_opening_once_it_would_last():
    plan, safe, opening = _plan(12, 1000), NOON - 4 * HOUR, NOON - 3 * HOUR
    window = BenchWindow(opening, NOON, NOON + HOUR)
    early = why_early(window, safe, plan, CERTAINTY, opening - MINUTE)
    assert early == Early(EarlyReason.CLOSED, opening, no_earlier=False)
    assert not early.costs_float_time
    assert why_early(window, safe, plan, CERTAINTY, safe - 8 * HOUR).reason is EarlyReason.SINKS
    assert why_early(window, None, plan, CERTAINTY, opening) is None


@pytest.mark.parametrize(
    ("earliest", "opens_at", "starts_from"),
    [
        (None, NOON - HOUR, NOON - HOUR),
        (NOON - 9 * HOUR, NOON - HOUR, NOON - HOUR),
        (NOON - HOUR, NOON - 2 * HOUR, NOON - HOUR),
        (None, NOON, NOON),
        (NOON - 9 * HOUR, NOON + MINUTE, NOON - 9 * HOUR),
        (NOON + HOUR, NOON - HOUR, NOON),
    ],
    ids=[
        "at any hour",
        "could wait",
        "must wait longer",
        "its last minute",
        "latest start before it",
        "never safe",
    ],
)
def test_while_the_shop_is_closed_no_start_is_right_before_it_opens(earliest, opens_at, starts_from):
    window = BenchWindow(earliest, NOON, NOON + HOUR).while_closed_until(opens_at)
    assert window.starts_from == starts_from
    assert window.is_early(starts_from - MINUTE)
    assert not window.is_early(starts_from)
