"""The picture of a day's load, against a count of every minute."""

from datetime import timedelta
from itertools import pairwise
from random import Random

import pytest

from app.actions.records.shop import load_shop
from app.planning.schedule import Absence, Shift
from app.store.queries.plan import SavedBlock
from app.web.drawings.load_chart import GROUND, LAYERS, TOP, BenchHours, layout_load_chart
from app.web.formats import Formats
from tests.actions.builders import at

MINUTE, HOUR = timedelta(minutes=1), timedelta(hours=1)


@pytest.fixture
def formats(session):
    return Formats.of(load_shop(session))


def _at(rows, moment, number="hands"):
    return sum(getattr(one, number) for one in rows if one.start <= moment < one.end)


def _random_day(draw):
    def stretch():
        start = at(7) + draw.randint(0, 10) * 30 * MINUTE
        return start, start + draw.randint(1, 8) * 30 * MINUTE

    shifts = [Shift(*stretch(), draw.randint(1, 3)) for _ in range(draw.randint(1, 4))]
    absences = [Absence(*stretch(), 1, {})] * draw.randint(0, 1)
    blocks = [
        SavedBlock(f"{place}", draw.choice(LAYERS), *stretch(), draw.randint(1, 2))
        for place in range(draw.randint(0, 5))
    ]
    return BenchHours(blocks, shifts, absences, at(0), at(0, days=1))


@pytest.mark.parametrize("seed", range(25))
def test_the_table_counts_every_minute(formats, seed):
    day = _random_day(Random(seed))
    load = layout_load_chart(day, formats)
    available, planned = 0, dict.fromkeys(LAYERS, 0)
    for minute in range(24 * 60):
        moment = at(0) + minute * MINUTE
        available += max(_at(day.shifts, moment) - _at(day.absences, moment), 0)
        for layer in LAYERS:
            planned[layer] += _at([block for block in day.blocks if block.gas == layer], moment, "staff")
    assert sum(row.staff_available for row in load.table) == available
    assert [sum(row.planned[place] for row in load.table) for place in range(len(LAYERS))] == [*planned.values()]
    assert sum(row.free for row in load.table) == available - sum(planned.values())


@pytest.mark.parametrize("seed", range(25))
def test_bars_stand_on_one_another_and_are_as_wide_and_high_as_the_work(formats, seed):
    day = _random_day(Random(seed))
    load = layout_load_chart(day, formats)
    hand, hour = load.staff[0].at - load.staff[1].at, _width_of_an_hour(load)
    stacks = {}
    for bar in load.bars:
        stacks.setdefault(bar.x, []).append(bar)
    for stack in stacks.values():
        assert stack[0].y + stack[0].height == pytest.approx(GROUND, abs=0.2)
        assert all(above.y + above.height == pytest.approx(below.y, abs=0.2) for below, above in pairwise(stack))
        assert stack[-1].y >= TOP
    worked = sum(block.staff * (block.end - block.start) / HOUR for block in day.blocks)
    assert sum(bar.width * bar.height for bar in load.bars) == pytest.approx(worked * hour * hand, rel=0.02)


def _width_of_an_hour(load):
    first, second = load.hours[:2]
    return (second.at - first.at) / (int(second.text[:2]) - int(first.text[:2]))


def test_from_now_on_counts_from_now_on(formats):
    day = BenchHours([], [Shift(at(8), at(18), 2)], [], at(17, 30), at(0, days=1))
    load = layout_load_chart(day, formats)
    assert [(row.hour, row.staff_available, row.free) for row in load.table] == [("17:00", 60, 60)]


def test_nobody_and_nothing_is_no_picture(formats):
    assert layout_load_chart(BenchHours([], [], [], at(0), at(0, days=1)), formats) is None


def test_the_hours_of_a_long_day_do_not_run_into_each_other(formats):
    load = layout_load_chart(BenchHours([], [Shift(at(0), at(0, days=1), 1)], [], at(0), at(0, days=1)), formats)
    gaps = [later.at - earlier.at for earlier, later in pairwise(load.hours)]
    assert min(gaps) >= 60
