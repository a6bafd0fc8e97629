"""This module invents the cylinders of the year and the readings of their gauges, which agree with what was filled."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from itertools import groupby
from operator import itemgetter
from random import Random

from app.actions.context import Context
from app.actions.gas.readings import GAUGE_STEP_BAR
from app.craft.gas import PressureReading, content_litres, litres_per_normal_litre
from app.demo.year.copies import Copier
from app.demo.year.records import Row
from app.quoting.states import CylinderState

WATER_L, FULL_BAR = 50.0, 200.0
RESERVE_L = 150.0
"""With less than this in it a cylinder is changed."""
READ_EVERY = timedelta(days=7)
LOST = (0.0, 0.04)
"""The least and the most that is lost beside what is filled, as a share of it."""
JUST_BEFORE = timedelta(seconds=30)


class Cylinders:
    """One cylinder after the other: taken into use full, read every week, and sent back when it is empty."""

    def __init__(self, context: Context, copier: Copier, chance: Random) -> None:
        self._context, self._copier, self._chance = context, copier, chance
        self._celsius = context.shop.air.celsius
        self._full = PressureReading(FULL_BAR).at(self._celsius).bar
        self._left, self._read_at = 0.0, context.now
        self._cylinder: Row = {}

    def write(self, fills: Iterable[tuple[datetime, float]], end: datetime) -> None:
        """Adds the cylinders and their readings to what was copied. fills: (moment, litres), the oldest first."""
        for at, together in groupby(fills, key=itemgetter(0)):
            litres = sum(each for _, each in together)
            used = litres * (1 + self._chance.uniform(*LOST))
            if not self._cylinder or self._left - used < RESERVE_L:
                self._change(at - JUST_BEFORE)
            elif at - self._read_at >= READ_EVERY:
                self._read(at - JUST_BEFORE, CylinderState.IN_USE)
            self._left -= used
        if self._cylinder:
            self._read(end, CylinderState.EMPTY)

    def _change(self, at: datetime) -> None:
        """Takes the cylinder out of use, and the next one into use."""
        if self._cylinder:
            self._read(at, CylinderState.EMPTY)
        cylinder_id = self._copier.next_id("cylinder")
        came_on = self._context.shop.opening.day_of(at) - timedelta(days=self._chance.randrange(2, 9))
        figures = {"water_l": WATER_L, "full_bar": FULL_BAR, "purity_percent": 100.0, "came_on": came_on}
        keys = {
            "id": cylinder_id,
            "client_key": f"year's cylinder {cylinder_id}",
            "name": f"Blue {400 + cylinder_id}",
        }
        self._cylinder = keys | figures | {"state": CylinderState.GONE_BACK, "order_id": None}
        self._copier.all_rows["cylinder"].append(self._cylinder)
        self._left = self._litres(self._full)
        self._read(at, CylinderState.IN_USE)

    def _read(self, at: datetime, state: CylinderState) -> None:
        reading_id = self._copier.next_id("cylinder_reading")
        reading = {
            "id": reading_id,
            "client_key": f"year's reading {reading_id}",
            "cylinder_id": self._cylinder["id"],
        }
        reading |= {"bar": self._bar(self._left), "celsius": self._celsius, "state": state, "order_id": None}
        reading |= {"at": at, "who": self._context.who, "undone_at": None, "undone_by": None}
        self._copier.all_rows["cylinder_reading"].append(reading)
        self._read_at = at

    def _litres(self, bar: float) -> float:
        air = self._context.shop.air
        return content_litres(WATER_L, PressureReading(bar, self._celsius), air) * litres_per_normal_litre(air)

    def _bar(self, litres: float) -> float:
        """Returns what the gauge shows for so many litres, to half of what can be read on it."""
        low, high = 0.0, self._full
        while high - low > GAUGE_STEP_BAR / 100:
            middle = (low + high) / 2
            low, high = (middle, high) if self._litres(middle) < litres else (low, middle)
        return round(low, 1)
