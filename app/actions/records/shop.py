"""The shop as the other actions see it: its settings with their meanings, put together from the store."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, time
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.craft.sizing import AirSizes
from app.craft.weights import Outdoors
from app.physics.air import Air
from app.physics.balloon import Gas
from app.physics.endurance import Habits
from app.physics.leak import Rubber
from app.planning.opening import Opening
from app.planning.roster import Roster, Turn
from app.planning.window import Certainty
from app.planning.work import STUFFING, Pace
from app.quoting.build_sheets.defaults import CraftHabits, craft_habits_of
from app.quoting.policy import Till, till_of
from app.quoting.settings.all_settings import SETTINGS
from app.quoting.stock_defaults import OnHand, on_hand_of
from app.store.models import (
    DayShift,
    Design,
    KindRow,
    OpeningException,
    OpeningWeekday,
    SettingRow,
    Supply,
    WeekdayShift,
)

Value = float | int | str
_DEFAULTS: Mapping[str, Value] = {setting.key: setting.default for setting in SETTINGS}


@dataclass(frozen=True, slots=True)
class TripHabits:
    """What filling at a venue, or a take-down, takes unless somebody says otherwise: hands and minutes."""

    crew: int
    venue_travel_minutes: int
    set_up_minutes: int
    hanging_minutes: int
    take_down_minutes: int


@dataclass(frozen=True, slots=True)
class Shop:
    """points: filling points by gas. `told` holds what pages show by: name, currency, units, caution."""

    zone: ZoneInfo
    opening: Opening
    points: Mapping[str, int]
    air: Air
    journey_celsius: float
    indoors_celsius: float
    habits: Habits
    air_sizes: AirSizes
    outdoors: Outdoors
    certainty: Certainty
    pace: Pace
    step_minutes: int
    soon_minutes: int
    treat_minor: int
    venue_minor: int
    trip: TripHabits
    till: Till
    craft: CraftHabits
    on_hand: OnHand
    told: Mapping[str, Value]

    @property
    def decimals(self) -> int:
        """Digits of the currency after the point."""
        return int(self.told["currency_decimals"])


@dataclass(frozen=True, slots=True)
class Goods:
    kinds: Mapping[int, KindRow]
    designs: Mapping[int, Design]
    supplies: Mapping[int, Supply]

    @property
    def kinds_offered(self) -> list[KindRow]:
        """Without the retired, which only stay for orders and designs that have them."""
        return [row for row in self.kinds.values() if row.retired_at is None]


def setting_values(session: Session) -> dict[str, Value]:
    """Every setting: the shop's own where it has one, else the default."""
    own = {row.key: row.value for row in session.scalars(select(SettingRow))}
    return {key: own.get(key, default) for key, default in _DEFAULTS.items()}


def load_shop(session: Session) -> Shop:
    return build_shop(setting_values(session), load_opening(session))


def build_shop(values: Mapping[str, Value], opening: Opening) -> Shop:
    def number(key: str) -> float:
        return float(values[key])

    return Shop(
        zone=opening.zone,
        opening=opening,
        points={point: int(values[f"{point}_points"]) for point in (*(gas.value for gas in Gas), STUFFING)},
        air=Air(number("shop_celsius"), number("shop_elevation_m")),
        journey_celsius=number("journey_celsius"),
        indoors_celsius=number("indoors_celsius"),
        habits=_habits(values),
        air_sizes=AirSizes(
            *(number(f"air_{key}_percent") / 100 for key in ("indoors", "outdoors", "hot_or_sun", "limit"))
        ),
        outdoors=Outdoors(number("wind_limit_m_s"), number("grip_percent") / 100),
        certainty=Certainty(number("certainty_percent") / 100, number("lower_limit_percent") / 100),
        pace=Pace(**{field: number(field) for field in Pace.__dataclass_fields__}),
        step_minutes=int(values["step_minutes"]),
        soon_minutes=int(values["soon_minutes"]),
        treat_minor=int(values["treat_minor"]),
        venue_minor=int(values["venue_minor"]),
        trip=TripHabits(**{field: int(values[field]) for field in TripHabits.__dataclass_fields__}),
        till=till_of(values),
        craft=craft_habits_of(values),
        on_hand=on_hand_of(values),
        told=values,
    )


def _habits(values: Mapping[str, Value]) -> Habits:
    rubber = Rubber(**{field: float(values[field]) for field in Rubber.__dataclass_fields__})
    rest = {
        field: float(values[field]) for field in Habits.__dataclass_fields__ if field not in ("rubber", "purity")
    }
    return Habits(rubber=rubber, purity=float(values["purity_percent"]) / 100, **rest)


def load_opening(session: Session) -> Opening:
    week = {row.weekday: _hours(row.opens, row.closes) for row in session.scalars(select(OpeningWeekday))}
    exceptions = {
        row.day: None if row.opens is None or row.closes is None else _hours(row.opens, row.closes)
        for row in session.scalars(select(OpeningException))
    }
    return Opening(load_zone(session), week, exceptions)


def load_roster(session: Session, opening: Opening) -> Roster:
    week: dict[int, list[Turn]] = {}
    days: dict[date, list[Turn]] = {}
    for row in session.scalars(select(WeekdayShift).order_by(WeekdayShift.starts)):
        week.setdefault(row.weekday, []).append(Turn(*_hours(row.starts, row.ends), row.hands))
    for one in session.scalars(select(DayShift).order_by(DayShift.starts)):
        days.setdefault(one.day, []).append(Turn(*_hours(one.starts, one.ends), one.hands))
    return Roster(opening, week, days)


def load_zone(session: Session) -> ZoneInfo:
    own = session.get(SettingRow, "zone")
    return ZoneInfo(own.value if own else "UTC")


def load_decimals(session: Session) -> int:
    own = session.get(SettingRow, "currency_decimals")
    return int(own.value if own else _DEFAULTS["currency_decimals"])


def _hours(opens: int, closes: int) -> tuple[time, time]:
    return time(*divmod(opens, 60)), time(*divmod(closes, 60))


def load_goods(session: Session) -> Goods:
    designs = {row.id: row for row in session.scalars(select(Design).order_by(Design.name))}
    return replace(load_materials(session), designs=designs)


def load_materials(session: Session) -> Goods:
    """Kinds and supplies, without designs: enough for what was sold already."""
    kinds = {row.id: row for row in session.scalars(select(KindRow).order_by(KindRow.id))}
    supplies = {row.id: row for row in session.scalars(select(Supply).order_by(Supply.name))}
    return Goods(kinds, {}, supplies)
