"""The corral below a day's load: on the same hours, against a count of every minute."""

from datetime import timedelta
from math import ceil
from random import Random

import pytest

from app.actions.corral import Corral
from app.actions.shop import load_shop
from app.planning.corral import Stay
from app.planning.schedule import Shift
from app.web.formats import Formats
from app.web.load import BenchHours, lay_out_load
from app.web.load_corral import GROUND, TOP
from tests.actions.builders import MORNING, at

ROOM = 60
MINUTE = timedelta(minutes=1)
DAY = BenchHours([], [Shift(at(8), at(18), 1)], [], at(0), at(0, days=1))


@pytest.fixture
def formats(session):
    return Formats.of(load_shop(session))


def _draw(formats, *stays, day=DAY):
    return lay_out_load(day, formats, Corral(ROOM, stays, MORNING))


def _random_stays(draw):
    starts = [at(6) + draw.randint(0, 700) * MINUTE for _ in range(draw.randint(1, 6))]
    return [Stay(start, start + draw.randint(1, 300) * MINUTE, draw.randint(1, 40)) for start in starts]


def _waits(stays, moment):
    return sum(stay.room for stay in stays if stay.start <= moment < stay.end)


@pytest.mark.parametrize("seed", range(20))
def test_each_hour_of_the_table_has_its_fullest_minute_and_a_bar_as_high(formats, seed):
    stays = _random_stays(Random(seed))
    load = _draw(formats, *stays)
    most = [max(_waits(stays, at(hour) + m * MINUTE) for m in range(60)) for hour in range(8, 18)]
    told = [f"{ceil(one)}, too full" if one > ROOM else f"{ceil(one)}" for one in most]
    assert list(load.corral.by_hour) == told
    assert len(load.corral.by_hour) == len(load.table)
    unit = (GROUND - TOP) / max(ROOM, *most)
    assert [bar.height for bar in load.corral.bars] == pytest.approx([one * unit for one in most if one], abs=0.1)
    assert [bar.over for bar in load.corral.bars] == [one > ROOM for one in most if one]
    assert load.corral.room.at == pytest.approx(GROUND - ROOM * unit, abs=0.1)


def test_bars_stand_below_the_hours_of_the_load(formats):
    load = _draw(formats, Stay(at(8), at(18), 20))
    assert [bar.x for bar in load.corral.bars] == [mark.at for mark in load.hours]


def test_too_full_is_said_with_its_hours(formats):
    said = _draw(formats, Stay(at(9), at(15), 50), Stay(at(14, 20), at(16), 20)).corral.text
    assert said == "The corral is too full from 14:20 to 15:00: up to 70 of 60 11-inch balloons."


def test_else_the_fullest_hour_is_said(formats):
    said = _draw(formats, Stay(at(9), at(15), 50)).corral.text
    assert said == "The corral is fullest from 09:00 on: 50 of 60 11-inch balloons."


def test_nothing_that_waits_is_said_too(formats):
    assert _draw(formats).corral.text == "Nothing waits in the corral, which holds 60 11-inch balloons."


def test_where_nobody_said_how_much_room_there_is_nothing_is_drawn(formats):
    assert lay_out_load(DAY, formats).corral is None
