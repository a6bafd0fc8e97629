"""When a fill must start at the latest, and the window for the bench: against scans and every order of batches."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from itertools import accumulate, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.planning.bench_window import (
    BenchWindow,
    bench_window,
    latest_fill_start,
    latest_start_for_one_person,
    ready_time_for_one_person,
)
from app.planning.opening import Opening
from tests.planning.shops import (
    BERLIN,
    EVERY_DAY,
    HOUR,
    MINUTE,
    berlin,
    daily,
    many,
    open_minutes,
)

MONDAY = datetime(2026, 7, 6, tzinfo=UTC)


def _scan_chain(ready_by: datetime, opening: Opening, finishing: int, drying: int, work: int) -> datetime:
    """The latest start: every minute is tried, until one leaves a stretch for the tail after its drying."""
    first = ready_by.replace(hour=0, minute=0) - timedelta(days=4)
    scanned = open_minutes(opening, first, ready_by)
    fits = (
        start
        for start in range(len(scanned), -1, -1)
        if scanned.startswith(b"\1" * work, start) and b"\1" * finishing in scanned[start + work + drying :]
    )
    return first + next(fits) * MINUTE


@many
@given(st.integers(0, 2 * 24 * 60), st.integers(1, 90), st.sampled_from([0, 60, 120, 180]), st.integers(1, 120))
def test_the_chain_back_from_ready_by_is_the_latest_that_a_scan_finds(minute, finishing, drying, work):
    ready_by = berlin(2026, 7, 11) + minute * MINUTE
    found = latest_fill_start(ready_by, daily(), *(minutes * MINUTE for minutes in (finishing, drying, work)))
    assert found == _scan_chain(ready_by, daily(), finishing, drying, work)


def test_the_chain_is_cut_down_to_the_minute():
    ready_by = berlin(2026, 7, 11, 15) + timedelta(seconds=59)
    assert latest_fill_start(ready_by, daily(), 10 * MINUTE, timedelta(), 20 * MINUTE) == berlin(
        2026, 7, 11, 14, 30
    )


def test_there_is_no_chain_in_a_shop_that_never_opens():
    never = replace(daily(), week={})
    assert latest_fill_start(MONDAY, never, 10 * MINUTE, timedelta(), 20 * MINUTE) is None


def test_drying_goes_on_while_the_shop_is_closed():
    early = Opening(BERLIN, EVERY_DAY | {5: (time(6), time(18))})
    ready_by = berlin(2026, 7, 11, 6, 10)
    assert latest_fill_start(ready_by, early, 10 * MINUTE, 12 * HOUR, HOUR) == berlin(2026, 7, 10, 17)


_works = st.lists(
    st.tuples(st.integers(1, 60), st.sampled_from([0, 30, 120])).map(
        lambda pair: (pair[0] * MINUTE, pair[1] * MINUTE)
    ),
    min_size=1,
    max_size=4,
)


def _backward(works: Sequence[tuple[timedelta, timedelta]], tail_start: datetime) -> datetime:
    start = tail_start
    for work, drying in works:
        start = min(start, tail_start - drying) - work
    return start


def _forward(works: Sequence[tuple[timedelta, timedelta]], now: datetime) -> datetime:
    """When the last of them is dry."""
    filled = list(accumulate((work for work, _ in works), initial=now))[1:]
    return max(end + drying for end, (_, drying) in zip(filled, works, strict=True))


@many
@given(_works, st.integers(1, 30))
def test_one_hand_starts_as_late_as_the_best_order_of_its_batches_lets_it(works, finishing):
    ready_by = berlin(2026, 7, 11, 17)
    tail_start = ready_by - finishing * MINUTE
    best = max(_backward(order, tail_start) for order in permutations(works))
    assert latest_start_for_one_person(ready_by, daily(), finishing * MINUTE, works) == best


@many
@given(_works, st.integers(1, 30))
def test_one_hand_is_ready_as_soon_as_the_best_order_of_its_batches_lets_it(works, finishing):
    now = berlin(2026, 7, 11, 8)
    best = min(_forward(order, now) for order in permutations(works))
    assert ready_time_for_one_person(now, daily(), finishing * MINUTE, works) == best + finishing * MINUTE


def test_one_hand_in_a_shop_that_never_opens_neither_starts_nor_ends():
    never, works = replace(daily(), week={}), [(20 * MINUTE, timedelta())]
    assert latest_start_for_one_person(MONDAY, never, 10 * MINUTE, works) is None
    assert ready_time_for_one_person(MONDAY, never, 10 * MINUTE, works) is None


def test_one_hand_that_begins_in_the_evening_goes_on_in_the_morning():
    works = [(20 * MINUTE, timedelta()), (30 * MINUTE, 2 * HOUR)]
    ready = ready_time_for_one_person(berlin(2026, 7, 10, 17), daily(), 10 * MINUTE, works)
    assert ready == berlin(2026, 7, 11, 8, 10)


@pytest.mark.parametrize(
    ("earliest", "minutes", "early"),
    [(0, -1, True), (0, 0, False), (None, -600, False), (121, 119, True), (121, 120, False), (121, 121, False)],
    ids=["before it", "at it", "none", "empty, a minute before", "empty, in its minute", "empty and late"],
)
def test_a_start_is_early_before_the_earliest_and_in_an_empty_window_until_its_minute(earliest, minutes, early):
    """The window ends within the minute that begins two hours after noon."""
    noon = MONDAY + 12 * HOUR
    begins = None if earliest is None else noon + earliest * MINUTE
    window = BenchWindow(begins, noon + 2 * HOUR + MINUTE / 2, noon + 3 * HOUR)
    assert window.is_early(noon + minutes * MINUTE) is early


def test_an_earliest_start_at_night_moves_to_the_opening_unless_that_is_too_late():
    opening = Opening(BERLIN, EVERY_DAY)
    span = opening.span(MONDAY.date())
    night = span.start - 3 * HOUR
    assert bench_window(night, span.start + HOUR, span.end, opening).earliest == span.start
    assert bench_window(night, night + HOUR, span.end, opening).earliest == night + HOUR
