"""The holding area below a day's load, against a count of every minute; on the same hours while it can be."""

from datetime import timedelta
from math import ceil
from random import Random

import pytest

from app.actions.bench.holding_area import HoldingArea
from app.actions.records.shop import load_shop
from app.planning.holding_area import Stay
from app.planning.schedule import Shift
from app.web.drawings.holding_area import GROUND, TOP
from app.web.drawings.load_chart import BenchHours, layout_day
from app.web.formats import Formats
from tests.actions.builders import MORNING, at
from tests.numbers_in import numbers_in

ROOM = 60
MINUTE = timedelta(minutes=1)
DAY = BenchHours([], [Shift(at(8), at(18), 1)], [], at(0), at(0, days=1))


@pytest.fixture
def formats(session):
    return Formats.of(load_shop(session))


def _draw(formats, *stays, day=DAY):
    return layout_day(day, formats, HoldingArea(ROOM, stays, MORNING))


def _random_stays(draw):
    starts = [at(6) + draw.randint(0, 700) * MINUTE for _ in range(draw.randint(1, 6))]
    return [Stay(start, start + draw.randint(1, 300) * MINUTE, draw.randint(1, 40)) for start in starts]


def _waits(stays, moment):
    return sum(stay.room for stay in stays if stay.start <= moment < stay.end)


@pytest.mark.parametrize("seed", range(20))
def test_each_hour_of_the_table_has_its_fullest_minute_and_a_bar_as_high(formats, seed):
    stays = _random_stays(Random(seed))
    strip = _draw(formats, *stays).holding_area
    outside = any(stay.start < at(8) or stay.end > at(18) for stay in stays)
    hours = range(24) if outside else range(8, 18)
    most = [max(_waits(stays, at(hour) + m * MINUTE) for m in range(60)) for hour in hours]
    told = [f"{ceil(one)}, too full" if one > ROOM else f"{ceil(one)}" for one in most]
    assert strip.table == tuple((f"{hour:02}:00", one) for hour, one in zip(hours, told, strict=True))
    assert strip.is_shared is not outside
    unit = (GROUND - TOP) / max(ROOM, *most)
    assert [bar.height for bar in strip.bars] == pytest.approx([one * unit for one in most if one], abs=0.1)
    assert [bar.over for bar in strip.bars] == [one > ROOM for one in most if one]
    assert strip.room.at == pytest.approx(GROUND - ROOM * unit, abs=0.1)


def test_the_table_of_a_shared_holding_area_has_the_hours_of_the_load(formats):
    picture = _draw(formats, Stay(at(9), at(15), 50))
    assert [hour for hour, _ in picture.holding_area.table] == [row.hour for row in picture.load.table]


def test_the_night_is_drawn_when_something_waits_in_it(formats):
    strip = _draw(formats, Stay(at(17), at(9, days=1), 50), Stay(at(20), at(9, days=1), 20)).holding_area
    assert numbers_in(strip.text)[:4] == [20, 0, 70, 60]
    assert [hour for hour, told in strip.table if "too full" in told] == ["20:00", "21:00", "22:00", "23:00"]
    assert [mark.text for mark in strip.hours] == [f"{hour:02}:00" for hour in range(0, 24, 3)]
    assert [bar.over for bar in strip.bars] == [False] * 3 + [True] * 4


def test_a_closed_day_has_the_holding_area_alone_when_something_waits(formats):
    closed = BenchHours([], [], [], at(0), at(0, days=1))
    picture = _draw(formats, Stay(at(0, days=-1), at(9, days=2), 200), day=closed)
    assert picture.load is None
    assert numbers_in(picture.holding_area.text)[:4] == [0, 0, 200, 60]
    assert len(picture.holding_area.bars) == 24
    assert _draw(formats, Stay(at(0, days=1), at(9, days=2), 200), day=closed).holding_area is None


def test_today_begins_with_the_hour_that_it_is(formats):
    evening = BenchHours([], [Shift(at(8), at(18), 1)], [], at(19, 20), at(0, days=1))
    strip = _draw(formats, Stay(at(9), at(23), 10), day=evening).holding_area
    assert [hour for hour, _ in strip.table] == ["19:00", "20:00", "21:00", "22:00", "23:00"]


def test_bars_stand_below_the_hours_of_the_load(formats):
    picture = _draw(formats, Stay(at(8), at(18), 20))
    assert [bar.x for bar in picture.holding_area.bars] == [mark.at for mark in picture.load.hours]
    assert picture.holding_area.hours == picture.load.hours


def test_too_full_is_said_with_its_hours(formats):
    said = _draw(formats, Stay(at(9), at(15), 50), Stay(at(14, 20), at(16), 20)).holding_area.text
    assert numbers_in(said)[:6] == [14, 20, 15, 0, 70, 60]


def test_else_the_fullest_hour_is_said(formats):
    said = _draw(formats, Stay(at(9), at(15), 50)).holding_area.text
    assert numbers_in(said)[:4] == [9, 0, 50, 60]


def test_nothing_that_waits_is_said_too(formats):
    strip = _draw(formats).holding_area
    assert strip.text
    assert strip.bars == ()


def test_where_nobody_said_how_much_room_there_is_nothing_is_drawn(formats):
    assert layout_day(DAY, formats, None).holding_area is None
