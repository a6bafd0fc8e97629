"""This module reads the shop from the store: its settings, opening hours and roster."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, time
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.actions.records.catalogue import load_catalogue
from app.planning.closed_days import ClosedDays
from app.planning.opening import Opening
from app.planning.roster import Roster, ShiftHours
from app.planning.shoptime import time_of_minute
from app.quoting.catalogue import Catalogue
from app.quoting.colour_looks import ColourLook
from app.quoting.shop import DEFAULT_VALUES, Shop, Value, build_shop
from app.store.models import (
    ClosedDaysRow,
    DayShift,
    OpeningException,
    OpeningWeekday,
    OwnColour,
    SettingRow,
    WeekdayShift,
)
from app.store.shop_version import shop_version


def setting_values(session: Session) -> dict[str, Value]:
    """Returns every setting: the shop's own value if it has one, else the default."""
    own = {row.key: row.value for row in session.execute(select(SettingRow.key, SettingRow.value))}
    return {key: own.get(key, default) for key, default in DEFAULT_VALUES.items()}


def load_shop(session: Session) -> Shop:
    """Returns the shop."""
    return build_shop(setting_values(session), load_opening(session))


def load_opening(session: Session) -> Opening:
    """Returns the opening hours."""
    week = {row.weekday: _hours(row.opens, row.closes) for row in session.scalars(select(OpeningWeekday))}
    exceptions = {
        row.day: None if row.opens is None or row.closes is None else _hours(row.opens, row.closes)
        for row in session.scalars(select(OpeningException))
    }
    rows = session.scalars(select(ClosedDaysRow).order_by(ClosedDaysRow.first, ClosedDaysRow.id))
    closed = tuple(ClosedDays(row.first, row.last, row.reason, row.yearly) for row in rows)
    return Opening(_load_zone(session), week, exceptions, closed)


_WEEK = select(WeekdayShift.weekday, WeekdayShift.starts, WeekdayShift.ends, WeekdayShift.staff).order_by(
    WeekdayShift.starts
)
_DAYS = select(DayShift.day, DayShift.starts, DayShift.ends, DayShift.staff).order_by(DayShift.starts)


def load_roster(session: Session, opening: Opening) -> Roster:
    """Returns who works when, and how many filling points there are."""
    week: dict[int, list[ShiftHours]] = {}
    days: dict[date, list[ShiftHours]] = {}
    for weekday, *hours in session.execute(_WEEK):
        week.setdefault(weekday, []).append(ShiftHours.from_minutes(*hours))
    for day, *hours in session.execute(_DAYS):
        days.setdefault(day, []).append(ShiftHours.from_minutes(*hours))
    return Roster(opening, week, days)


def load_own_colours(session: Session) -> dict[str, ColourLook]:
    """Returns how the shop's own colours look, by `colour_key`."""
    return {row.key: ColourLook(row.fill, row.finish) for row in session.scalars(select(OwnColour))}


def _load_zone(session: Session) -> ZoneInfo:
    """Returns the shop's time zone."""
    own = session.get(SettingRow, "zone")
    return ZoneInfo(own.value if own else "UTC")


def _hours(opens: int, closes: int) -> tuple[time, time]:
    """Returns the times of day for minutes since midnight; above 1440 they are of the next date."""
    return time_of_minute(opens), time_of_minute(closes)


@dataclass(frozen=True, slots=True)
class BuiltShop:
    """The shop, its catalogue and its own colours."""

    version: int | None
    shop: Shop
    catalogue: Catalogue
    own_colours: Mapping[str, ColourLook]


class ShopCache:
    """The shop that one process built last. Threads share it: the whole entry is replaced at once."""

    def __init__(self) -> None:
        self._latest: BuiltShop | None = None

    def load(self, session: Session) -> BuiltShop:
        """Returns the shop and the catalogue as this session sees them. What the session itself has changed is
        never cached."""
        version = shop_version(session)
        if version is not None and self._latest is not None and self._latest.version == version:
            return self._latest
        built = BuiltShop(version, load_shop(session), load_catalogue(session), load_own_colours(session))
        if version is not None:
            self._latest = built
        return built
