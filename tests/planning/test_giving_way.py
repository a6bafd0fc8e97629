"""Who gives way and in which sequence they follow, against every choice tried one by one, and against the rule by
which the order that is due last gives way."""

import random
from collections import Counter
from dataclasses import replace
from datetime import timedelta
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from app.planning import giving_way
from app.planning.order_work import FillJob, OrderWork, without_precedence
from app.planning.outlook import look_ahead
from app.planning.schedule import Batch, Shift
from tests.amounts import amount
from tests.planning.due_last_rule import due_last_rule
from tests.planning.every_choice import EveryChoice
from tests.planning.schedule_checker import shortfall
from tests.planning.shops import HOUR, MINUTE, berlin

EIGHT = berlin(2026, 7, 11, 8)
ENOUGH_POINTS = {"helium": 3, "air": 3}


def _days(staff=1):
    """Closed for an hour at noon."""
    for day in range(3):
        opens = EIGHT + day * 24 * HOUR
        yield Shift(opens, opens + 4 * HOUR, staff)
        yield Shift(opens + 5 * HOUR, opens + 9 * HOUR, staff)


def _drawn(dice, key, latest=24):
    """An order due within hours, some of it not before an hour, some of it to be dried."""
    due = EIGHT + 10 * dice.randint(2, latest) * MINUTE
    fills = []
    for place in range(dice.randint(1, 2)):
        begins = EIGHT + dice.choice((-60, -60, 15, 40)) * MINUTE
        batch = Batch(
            f"{key}-{place}", dice.choice(("helium", "air")), 60 * dice.choice((5, 10, 25, 50)), begins, due
        )
        fills.append(FillJob(batch, dice.choice((0, 0, 30)) * MINUTE))
    starts = due + dice.choice((0, 20, 60, 120)) * MINUTE if dice.random() < 0.8 else None
    ends = starts + dice.choice((1, 4)) * HOUR if starts else None
    return OrderWork(f"{key}", tuple(fills), 60 * dice.choice((0, 5, 15)), due, starts, ends)


def _loss(orders, ready_at, over=()):
    """How many are late, how many of them miss the start of their event, and how late they are together."""
    mine = [(one, ready_at[one.key]) for one in orders if one.key in ready_at and one.key not in over]
    missed = sum(
        at is None or (one.latest_for_start is not None and one.ready_by <= one.latest_for_start < at)
        for one, at in mine
    )
    return missed, sum(((at - one.ready_by if at else timedelta(days=7)) for one, at in mine), timedelta())


def _ready_at(found):
    return {delay.key: delay.ready_at for delay in found.delays}


@settings(deadline=None, max_examples=amount(8, deep=60))
@given(some.integers(0, 10**9))
def test_no_other_choice_is_better(seed):
    """Two to four orders and one person: as few give way, as few miss their start, and they are as little late."""
    dice = random.Random(seed)
    orders = [_drawn(dice, key, 12) for key in range(dice.randint(2, 4))]
    now = EIGHT + dice.choice((0, 0, 47)) * MINUTE
    found = look_ahead(orders, [*_days()], ENOUGH_POINTS, now)
    best, over = EveryChoice(orders, [*_days()], ENOUGH_POINTS, now).best()
    assert len(found.delays) == best.size
    assert _loss(orders, _ready_at(found), over) == (best.missed, best.lateness)
    assert {delay.key for delay in found.delays[best.size - len(over) :]} == over


@pytest.mark.parametrize("seed", range(3))
def test_fewer_cannot_give_way_by_a_flow(seed):
    """By networkx, for two people and few points: whichever fewer orders give way, the others are too much."""
    dice = random.Random(seed)
    orders, shifts, points = [_drawn(dice, key, 9) for key in range(6)], [*_days(2)], {"helium": 1, "air": 1}
    delays = look_ahead(orders, shifts, points, EIGHT).delays
    assert all(delay.proved for delay in delays)
    for others in combinations(orders, len(orders) - len(delays) + 1):
        assert shortfall([batch for one in others for batch in without_precedence(one, EIGHT)], shifts, points)


def _never_worse(orders, shifts, points, now=EIGHT):
    found = _ready_at(look_ahead(orders, shifts, points, now))
    reference = due_last_rule(orders, shifts, points, now)
    ours, theirs = (len(found), *_loss(orders, found)), (len(reference), *_loss(orders, reference))
    assert ours <= theirs
    return "better" if ours < theirs else "equal"


def _without_ends(orders):
    return [replace(one, latest_for_end=None) for one in orders]


@pytest.mark.parametrize("sets", [giving_way.MOST_SETS, 2], ids=["exact or compared", "by most work"])
def test_it_is_never_worse_than_when_those_due_last_give_way(sets, monkeypatch):
    """Up to ten orders, so with more than eight at risk too, and where the search for the smallest sets is cut
    short."""
    monkeypatch.setattr(giving_way, "MOST_SETS", sets)
    seen = Counter()
    for seed in range(5):
        dice = random.Random(seed)
        staff = dice.choice((1, 2))
        orders = _without_ends(_drawn(dice, key, 9 + 12 // staff) for key in range(dice.choice((5, 10))))
        seen[_never_worse(orders, [*_days(staff)], {"helium": staff, "air": 1})] += 1
    assert seen["better"] > 1


def _order(key, due, minutes, finish=10, **moments):
    fill = FillJob(Batch(f"{key}-1", "helium", minutes * 60, EIGHT, due))
    return OrderWork(key, (fill,), finish * 60, due, **moments)


def _late(*orders, now=EIGHT):
    return [
        (one.key, (one.ready_at - EIGHT) // MINUTE)
        for one in look_ahead(orders, [*_days()], ENOUGH_POINTS, now).delays
    ]


def test_one_large_order_gives_way_for_two_small_ones_though_it_is_due_first():
    small = [_order(key, EIGHT + 65 * MINUTE, 20) for key in "bc"]
    assert _late(_order("a", EIGHT + HOUR, 50), *small) == [("a", 120)]


def test_the_event_that_starts_later_waits_though_it_is_late_for_longer():
    first = _order("a", EIGHT + HOUR, 50, latest_for_start=EIGHT + 4 * HOUR)
    second = _order("b", EIGHT + 70 * MINUTE, 50, latest_for_start=EIGHT + 80 * MINUTE)
    assert _late(first, second) == [("a", 120)]
    assert _late(replace(first, latest_for_start=None), replace(second, latest_for_start=None)) == [("b", 120)]


def test_an_order_whose_event_is_over_follows_last():
    """At ten, two orders are overdue; the event of the one that was due first ended at half past ten."""
    over = _order("a", EIGHT + HOUR, 30, latest_for_end=EIGHT + 150 * MINUTE)
    overdue = _order("b", EIGHT + 90 * MINUTE, 30)
    assert _late(over, overdue, now=EIGHT + 2 * HOUR) == [("b", 160), ("a", 200)]
    assert _late(replace(over, latest_for_end=None), overdue, now=EIGHT + 2 * HOUR) == [("a", 160), ("b", 200)]
