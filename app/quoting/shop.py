"""The shop as a quote needs it: its settings with their meanings, put together."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from app.craft.sizing import AirSizes
from app.craft.weights import Outdoors
from app.physics.air import Air
from app.physics.balloon import Gas
from app.physics.endurance import FloatDefaults
from app.physics.leak import Rubber
from app.physics.light import LightLimits
from app.physics.promise import Scatter
from app.planning.daylight import Daylight
from app.planning.opening import Opening
from app.planning.window import Certainty
from app.planning.work import STUFFING, WorkTimes
from app.quoting.defaults import (
    CraftDefaults,
    LoadDefaults,
    StockDefaults,
    craft_defaults_of,
    load_defaults_of,
    stock_defaults_of,
)
from app.quoting.policy import PricingPolicy, pricing_policy_of
from app.quoting.settings.all_settings import SETTINGS

Value = float | int | str
DEFAULT_VALUES: Mapping[str, Value] = {setting.key: setting.default for setting in SETTINGS}


@dataclass(frozen=True, slots=True)
class TripDefaults:
    """What filling at a venue, or a take-down, takes unless something else is typed: staff and minutes.

    crew_margin_minutes: a crew leaves so much earlier than it must.
    """

    crew: int
    venue_travel_minutes: int
    set_up_minutes: int
    hanging_minutes: int
    take_down_minutes: int
    crew_margin_minutes: int = 0


@dataclass(frozen=True, slots=True)
class Shop:
    """points: filling points by gas. display: settings for the pages, such as name, currency, units and caution."""

    zone: ZoneInfo
    opening: Opening
    points: Mapping[str, int]
    air: Air
    journey_celsius: float
    indoors_celsius: float
    float_defaults: FloatDefaults
    loads: LoadDefaults
    daylight: Daylight
    air_sizes: AirSizes
    outdoors: Outdoors
    certainty: Certainty
    work_times: WorkTimes
    step_minutes: int
    soon_minutes: int
    idle_factor: float
    treat_minor: int
    venue_minor: int
    trip: TripDefaults
    pricing: PricingPolicy
    craft: CraftDefaults
    stock_defaults: StockDefaults
    display: Mapping[str, Value]

    @property
    def decimals(self) -> int:
        """The digits of the currency after the point."""
        return int(self.display["currency_decimals"])

    def idle_after(self, work_minutes: int) -> timedelta:
        """Returns how long a batch that takes this many minutes counts as being filled if nobody taps it."""
        return timedelta(minutes=work_minutes * self.idle_factor)

    @property
    def twelve_hours(self) -> bool:
        """Whether times are written with am and pm."""
        return self.display["clock"] == "12 h"


def build_shop(values: Mapping[str, Value], opening: Opening) -> Shop:
    """Returns the shop from its settings, by key, and its opening hours."""

    def number(key: str) -> float:
        return float(values[key])

    return Shop(
        zone=opening.zone,
        opening=opening,
        points={point: int(values[f"{point}_points"]) for point in (*(gas.value for gas in Gas), STUFFING)},
        air=Air(number("shop_celsius"), number("shop_elevation_m")),
        journey_celsius=number("journey_celsius"),
        indoors_celsius=number("indoors_celsius"),
        float_defaults=_float_defaults(values),
        loads=load_defaults_of(values),
        daylight=Daylight(opening.zone, _hour(number("daylight_from_hour")), _hour(number("daylight_until_hour"))),
        air_sizes=AirSizes(
            *(number(f"air_{key}_percent") / 100 for key in ("indoors", "outdoors", "hot_or_sun", "limit"))
        ),
        outdoors=Outdoors(number("wind_limit_m_s"), number("grip_percent") / 100),
        certainty=Certainty(number("certainty_percent") / 100, number("lower_limit_percent") / 100),
        work_times=WorkTimes(**{field: number(field) for field in WorkTimes.__dataclass_fields__}),
        step_minutes=int(values["step_minutes"]),
        soon_minutes=int(values["soon_minutes"]),
        idle_factor=number("idle_factor"),
        treat_minor=int(values["treat_minor"]),
        venue_minor=int(values["venue_minor"]),
        trip=TripDefaults(**{field: int(values[field]) for field in TripDefaults.__dataclass_fields__}),
        pricing=pricing_policy_of(values),
        craft=craft_defaults_of(values),
        stock_defaults=stock_defaults_of(values),
        display=values,
    )


def _hour(hours: float) -> time:
    """Returns the time of day that is so many hours after midnight, 0 to under 24."""
    return (datetime.min + timedelta(hours=hours)).time()


def _float_defaults(values: Mapping[str, Value]) -> FloatDefaults:
    """Returns the figures that decide whether a float is safe."""

    def number(key: str) -> float:
        return float(values[key])

    def scatter(name: str) -> Scatter:
        return Scatter(number(f"spread_{name}"), number(f"spread_{name}_balloons"))

    return FloatDefaults(
        rubber=Rubber(**{field: number(field) for field in Rubber.__dataclass_fields__}),
        load_g=load_defaults_of(values).loose_g,
        purity=number("purity_percent") / 100,
        untreated=scatter("untreated"),
        treated=scatter("treated"),
        film=scatter("film"),
        promised_share=number("promised_percent") / 100,
        light=LightLimits(**{field: number(f"light_hours_{field}") for field in LightLimits.__dataclass_fields__}),
    )
