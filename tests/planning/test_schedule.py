"""Plans with known answers: written rules, textbook instances, edges of time and of number."""

import math
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest

from app.planning import schedule
from app.planning.flow import fit_due_first
from app.planning.schedule import Batch, Block, Case, Shift, make_plan
from app.planning.too_much import find_shortage
from tests.planning.schedule_checker import check_plan

DAY = datetime(2026, 6, 12, tzinfo=UTC)
SECOND, MINUTE, HOUR = timedelta(seconds=1), timedelta(minutes=1), timedelta(hours=1)
ALL_DAY = Shift(DAY, DAY + 24 * HOUR, 1)
BERLIN = ZoneInfo("Europe/Berlin")


def at(hour: float) -> datetime:
    return DAY + hour * HOUR


def planned(batches, shifts, points):
    plan = make_plan(batches, shifts, points)
    check_plan(plan, batches, shifts, points)
    return plan


def clock(plan):
    return {key: f"{start:%H:%M}" for key, start in plan.starts.items()}


def test_one_batch_starts_as_late_as_it_can():
    plan = planned([Batch("a", "helium", 1800, at(8), at(10))], [Shift(at(8), at(18), 1)], {"helium": 1})
    assert plan.fits
    assert plan.short_seconds == 0
    assert plan.starts == {"a": at(9.5)}
    assert plan.blocks == (Block("a", at(9.5), at(10), 1),)
    assert plan.splits == 0


@pytest.mark.parametrize(
    ("hands", "points", "starts"),
    [
        (1, 1, ["09:30", "09:00", "08:30", "08:00", "07:30", "07:00"]),
        (3, 1, ["09:30", "09:00", "08:30", "08:00", "07:30", "07:00"]),
        (2, 2, ["09:45", "09:30", "09:15", "09:00", "08:45", "08:30"]),
        (6, 6, ["09:55", "09:50", "09:45", "09:40", "09:35", "09:30"]),
    ],
)
def test_six_half_hour_orders_due_at_ten_do_not_all_read_half_past_nine(hands, points, starts):
    batches = [Batch(f"{number}", "helium", 1800, at(6), at(10)) for number in range(6)]
    plan = planned(batches, [Shift(at(6), at(18), hands)], {"helium": points})
    assert list(clock(plan).values()) == starts


def test_overlapping_shifts_add_up():
    batch = Batch("a", None, 4 * 3600, at(8), at(11))
    plan = planned([batch], [Shift(at(8), at(10), 1), Shift(at(9), at(11), 1)], {})
    assert plan.blocks == (
        Block("a", at(8), at(9), 1),
        Block("a", at(9), at(10), 2),
        Block("a", at(10), at(11), 1),
    )
    assert plan.splits == 2


def test_the_shortfall_is_the_work_left_over():
    batches = [Batch("a", "helium", 3000, at(9), at(10)), Batch("b", "helium", 3000, at(9), at(10))]
    plan = planned(batches, [Shift(at(8), at(18), 5)], {"helium": 1})
    assert (plan.fits, plan.short_seconds) == (False, 2400)


def test_no_gas_needs_no_point_and_another_gas_no_turn():
    batches = [
        Batch("air", "air", 3600, at(9), at(10)),
        Batch("helium", "helium", 3600, at(9), at(10)),
        Batch("tie", None, 3600, at(9), at(10)),
    ]
    assert planned(batches, [Shift(at(9), at(10), 3)], {"air": 1, "helium": 1}).fits
    assert make_plan(batches, [Shift(at(9), at(10), 2)], {"air": 1, "helium": 1}).short_seconds == 3600


def test_work_goes_on_after_the_night():
    batch = Batch("a", None, 3 * 3600, at(8), at(34))
    plan = planned([batch], [Shift(at(8), at(18), 1), Shift(at(32), at(42), 1)], {})
    assert plan.blocks == (Block("a", at(17), at(18), 1), Block("a", at(32), at(34), 1))


def test_seconds_are_counted_whole():
    batch = Batch("a", None, 1.2, at(8) + 0.1 * SECOND, at(8) + 3.9 * SECOND)
    plan = planned([batch], [ALL_DAY], {})
    assert plan.blocks == (Block("a", at(8) + SECOND, at(8) + 3 * SECOND, 1),)
    longer = Batch("a", None, 2.1, at(8) + 0.1 * SECOND, at(8) + 3.9 * SECOND)
    assert make_plan([longer], [ALL_DAY], {}).short_seconds == 1


@pytest.mark.parametrize(
    ("start", "end", "hours"),
    [
        (datetime(2026, 3, 29, 1), datetime(2026, 3, 29, 5), 3),
        (datetime(2026, 10, 25, 1), datetime(2026, 10, 25, 5), 5),
        (datetime(2026, 10, 25, 2, 30, fold=0), datetime(2026, 10, 25, 3), 1.5),
        (datetime(2026, 10, 25, 2, 30, fold=1), datetime(2026, 10, 25, 3), 0.5),
    ],
)
def test_a_shift_across_a_clock_change_has_the_hours_that_pass(start, end, hours):
    shift = Shift(start.replace(tzinfo=BERLIN), end.replace(tzinfo=BERLIN), 1)
    window = datetime(2026, 1, 1, tzinfo=UTC), datetime(2026, 12, 31, tzinfo=UTC)
    full = [Batch("a", None, hours * 3600, *window)]
    assert planned(full, [shift], {}).fits
    assert make_plan([Batch("a", None, hours * 3600 + 1, *window)], [shift], {}).short_seconds == 1


@pytest.mark.parametrize(
    "not_before",
    [datetime(2026, 10, 25, 2, 59, 59, 500_000), datetime(2026, 10, 25, 2, 0, fold=1)],
)
def test_a_moment_is_rounded_up_to_the_second_after_it_and_not_into_the_other_hour(not_before):
    shift = Shift(datetime(2026, 10, 25, 0, tzinfo=UTC), datetime(2026, 10, 25, 2, tzinfo=UTC), 1)
    batch = Batch("a", None, 3600, not_before.replace(tzinfo=BERLIN), shift.end)
    plan = planned([batch], [shift], {})
    assert plan.starts == {"a": datetime(2026, 10, 25, 1, tzinfo=UTC)}
    assert make_plan([Batch("a", None, 3601, batch.not_before, shift.end)], [shift], {}).short_seconds == 1


def test_no_batches_fit_anywhere():
    plan = planned([], [], {})
    assert plan.fits
    assert not plan.starts
    assert not plan.blocks


@pytest.mark.parametrize(
    ("batch", "shifts", "points"),
    [
        (Batch("a", "air", 5, at(8), at(9)), [], 1),
        (Batch("a", "air", 5, at(8), at(9)), [ALL_DAY], 0),
        (Batch("a", "air", 5, at(8), at(9)), [Shift(at(8), at(9), 0)], 1),
        (Batch("a", "air", 5, at(8), at(9)), [Shift(at(9), at(10), 1)], 1),
        (Batch("a", "air", 5, at(8), at(9)), [Shift(at(10), at(7), 1)], 1),
        (Batch("a", "air", 5, at(8), at(8)), [ALL_DAY], 1),
        (Batch("a", "air", 5, at(9), at(8)), [ALL_DAY], 1),
        (Batch("a", "air", 5, at(8) + 0.2 * SECOND, at(8) + 0.8 * SECOND), [ALL_DAY], 1),
        (Batch("a", None, 5, at(8), at(9)), [Shift(at(8) + 0.2 * SECOND, at(8) + 0.8 * SECOND, 9)], 1),
    ],
    ids=["no shift", "no point", "no hand", "closed", "turned shift", "no window", "turned", "thin", "thin shift"],
)
def test_where_nobody_can_work_all_the_work_is_short(batch, shifts, points):
    assert planned([batch], shifts, {"air": points}).short_seconds == 5
    shortage = find_shortage(Case.of([batch], shifts, {"air": points}))
    assert (shortage.short_seconds, shortage.keys) == (5, ("a",))


def test_a_shortage_tells_what_its_own_batches_lack_and_what_the_whole_bench_does():
    """On the first day 10 minutes too many, on the next 40: twice 40 minutes of work in 40."""
    days = [at(8), at(32)]
    batches = [
        Batch(f"{day:%d}-{number}", None, 1800 + 600 * place, day, day + HOUR - 1200 * place * SECOND)
        for place, day in enumerate(days)
        for number in range(2)
    ]
    batches.append(Batch("more", None, 600, at(8), at(9)))
    shifts = [Shift(day, day + HOUR, 1) for day in days]
    shortage = find_shortage(Case.of(batches, shifts, {}))
    assert shortage.keys == ("12-0", "12-1", "more")
    assert (shortage.short_seconds, shortage.all_seconds) == (600, 600 + 2400)


@pytest.mark.parametrize("shifts", [[], [ALL_DAY]])
def test_no_work_fits_even_where_nobody_is_there(shifts):
    plan = planned([Batch("a", "air", 0, at(8), at(9))], shifts, {"air": 0})
    assert plan.fits
    assert plan.starts == {"a": at(9)}
    assert not plan.blocks


@pytest.mark.parametrize(
    ("batches", "shifts", "points"),
    [
        ([Batch("a", "xenon", 5, at(8), at(9))], [ALL_DAY], {"helium": 1}),
        ([Batch("a", "xenon", 0, at(8), at(9))], [ALL_DAY], {}),
        ([Batch("a", None, 5, at(8), at(9)), Batch("a", None, 6, at(8), at(9))], [ALL_DAY], {}),
        ([Batch("a", None, -1, at(8), at(9))], [ALL_DAY], {}),
        ([Batch("a", None, math.nan, at(8), at(9))], [ALL_DAY], {}),
        ([Batch("a", None, math.inf, at(8), at(9))], [ALL_DAY], {}),
        ([Batch("a", None, 5, at(8).replace(tzinfo=None), at(9))], [ALL_DAY], {}),
        ([Batch("a", None, 5, at(8), at(9).replace(tzinfo=None))], [ALL_DAY], {}),
        ([], [Shift(at(8).replace(tzinfo=None), at(9), 1)], {}),
        ([], [Shift(at(8), at(9).replace(tzinfo=None), 1)], {}),
        ([], [Shift(at(8), at(9), -1)], {}),
        ([], [ALL_DAY], {"air": -1}),
    ],
)
def test_what_cannot_be_planned_is_refused(batches, shifts, points):
    with pytest.raises(ValueError):
        make_plan(batches, shifts, points)


@pytest.mark.parametrize(
    ("gas", "days", "hands", "points"),
    [
        ("air", 1, 1, 10**6),
        ("air", 1, 1, 2**31 // 3600 + 1),
        ("air", 1, 1, 2**32 // 3600 + 1),
        (None, 1, 10**6, 1),
        (None, 365, 100, 1),
        ("air", 3650, 60, 60),
    ],
)
def test_hours_too_many_for_thirty_two_bits_are_still_hours(gas, days, hands, points):
    end = DAY + timedelta(days)
    batch = Batch("a", gas, 60, DAY, end)
    plan = planned([batch], [Shift(DAY, end, hands)], {"air": points})
    assert plan.starts == {"a": end - -(-60 // min(hands, points if gas else hands)) * SECOND}


def test_a_year_of_work_fits_a_year():
    end = DAY + timedelta(365)
    batches = [Batch(f"{number}", None, 365 * 86400, DAY, end) for number in range(5)]
    assert planned(batches, [Shift(DAY, end, 5)], {}).fits
    assert make_plan(batches, [Shift(DAY, end, 4)], {}).short_seconds == 365 * 86400


def test_more_work_than_thirty_two_bits_count_is_never_answered_wrongly():
    end = DAY + timedelta(365)
    batches = [Batch(f"{number}", None, 365 * 86400, DAY, end) for number in range(100)]
    with pytest.raises(ValueError, match="68 years"):
        make_plan(batches, [Shift(DAY, end, 100)], {})
    just_over = [Batch(key, None, 2**30 - 0.5, DAY, end) for key in "ab"]  # rounded up, each is 2**30 seconds
    with pytest.raises(ValueError, match="68 years"):
        make_plan(just_over, [Shift(DAY, end, 100)], {})


def test_where_serving_the_first_due_is_proof_enough_no_flow_is_asked(monkeypatch):
    monkeypatch.setattr(schedule, "fill_due_first", None)
    batches = [Batch(f"{number}", "air", 600, at(8), at(9 + number)) for number in range(4)]
    assert find_shortage(Case.of(batches, [Shift(at(8), at(12), 1)], {"air": 1})) is None


def test_where_serving_the_first_due_fails_the_flow_tells():
    """Serving who is due first gives both hands to the first batch, and leaves the filling point idle too long."""
    batches = [
        Batch("due first", None, 90 * 60, at(8), at(9.5)),
        Batch("all along", "helium", 120 * 60, at(8), at(10)),
        Batch("comes later", None, 60, at(8.75), at(10)),
    ]
    case = Case.of(batches, [Shift(at(8), at(10), 2)], {"helium": 1})
    assert not fit_due_first(case.bench, case.load, case.begins)
    assert find_shortage(case) is None
    assert planned(batches, [Shift(at(8), at(10), 2)], {"helium": 1}).fits


def _one_hand_each(work, machines, releases=None, dues=None, unit=3600):
    """Jobs on so many alike machines, preempted at will, each on one machine at a time: a gas with one point."""
    latest = max(dues) if dues else None
    batches = [
        Batch(
            f"{number}",
            f"gas {number}",
            amount * unit,
            DAY + (releases[number] if releases else 0) * unit * SECOND,
            DAY + dues[number] * unit * SECOND,
        )
        for number, amount in enumerate(work)
    ]
    shifts = [Shift(DAY, DAY + latest * unit * SECOND, machines)]
    return planned(batches, shifts, {batch.gas: 1 for batch in batches})


@pytest.mark.parametrize(
    ("work", "machines", "makespan"),
    [
        ((2, 2, 2), 2, 3),
        ((8, 7, 6), 2, Fraction(21, 2)),
        ((10, 1, 1, 1), 3, 10),
        ((5, 4, 3, 3, 2, 1), 3, 6),
    ],
)
def test_alike_machines_need_the_longest_job_or_the_mean_load(work, machines, makespan):
    """McNaughton, Management Science 6 (1959), theorem 3.1: the longest job or the load by machines, whichever is
    more. The jobs 8, 7, 6 on two machines are an example of Pinedo, Scheduling, chapter 5 (from memory)."""
    assert makespan == max(*work, Fraction(sum(work), machines))
    hours = [float(makespan)] * len(work)
    assert _one_hand_each(work, machines, dues=hours).fits
    second = 1 / 3600
    short = _one_hand_each(work, machines, dues=[hour - second for hour in hours])
    assert short.short_seconds == (work.count(makespan) if max(work) == makespan else machines)


def test_four_jobs_on_two_machines_with_releases_and_due_dates():
    """Ahuja, Magnanti & Orlin, Network Flows (1993), application 6.4 (data from memory): a maximum flow shows that
    all four can be done; with one machine the 8.45 machine days do not fit the eight from day 1 to 9."""
    releases, dues, work = (3, 1, 3, 5), (5, 4, 7, 9), (1.5, 1.25, 2.1, 3.6)
    assert _one_hand_each(work, 2, releases, dues).fits
    alone = _one_hand_each(work, 1, releases, dues)
    assert not alone.fits
    assert alone.short_seconds >= 0.45 * 3600
