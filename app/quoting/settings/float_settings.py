"""The settings of how long balloons float: places, promises, latex, foil, light, fill sizes with air, outdoors."""

from dataclasses import fields

from app.craft.sizing import AirSizes
from app.craft.weights import Outdoors
from app.physics.endurance import FILM, TREATED, UNTREATED, FloatDefaults
from app.physics.leak import Rubber
from app.physics.light import LightLimits
from app.planning.window import Certainty
from app.quoting.settings.setting import COMMON, MEMORY, MEMORY_FLOAT, Setting
from app.quoting.settings.subjects import (
    BOARD,
    COAT,
    LATEX,
    LIGHT,
    OUTDOORS,
    PLACES,
    PROMISE,
    SIZES,
    VARY,
)

LIMITS = LightLimits()
_DEFAULTS = {
    f.name: f.default for owner in (Rubber, FloatDefaults, AirSizes, Certainty, Outdoors) for f in fields(owner)
}


def _default(name: str) -> float:
    """Returns the default of a figure; it is defined once, beside the code that uses it."""
    value = _DEFAULTS[name]
    if not isinstance(value, float):
        raise TypeError(f"{name} has no plain default")
    return value


def _percent(name: str) -> float:
    """Returns the default as a percentage."""
    return round(_default(name) * 100, 6)


# fmt: off
FLOAT_SETTINGS: tuple[Setting, ...] = (
    Setting("shop_celsius", PLACES, "Shop temperature", "Balloons are filled and wait at this temperature; in a"
            " warm room latex sinks sooner.", 20.0, "°C", -10, 45),
    Setting("shop_elevation_m", PLACES, "Shop altitude", "The shop lies this high above sea level; a venue"
            " without an altitude of its own counts as equally high.", 0.0, "m", -430, 5000),
    Setting("indoors_celsius", PLACES, "Indoor venue temperature", "A venue indoors counts as this warm if the"
            " order has no temperature.", 20.0, "°C", -10, 45),
    Setting("journey_celsius", PLACES, "Van temperature", "Balloons travel at this temperature in the delivery"
            " van.", 20.0, "°C", -30, 60),
    Setting("certainty_percent", PROMISE, "Safe from", "An order is Safe if the chance that as many balloons as"
            " promised are still up at the end is at least this, in percent.", _percent("safe"), "%", 50, 99.9),
    Setting("lower_limit_percent", PROMISE, "Risky from", "An order is Risky if the chance that as many balloons"
            " as promised are still up at the end is at least this but below “Safe from”, in percent.",
            _percent("risky"), "%", 1, 99.9),
    Setting("promised_percent", PROMISE, "Share promised", "The shop promises that at least this share of the"
            " balloons filled alike are still up at the end, in percent: at 90, 22 of 24, and all of up to nine.",
            _percent("promised_share"), "%", 1, 100, source=MEMORY),
    Setting("step_minutes", BOARD, "Times rounded to", "Times that are offered to a customer are rounded to this"
            " many minutes.", 15, "min", 1, 60),
    Setting("soon_minutes", BOARD, "Due soon", "The board marks a batch as due this many minutes before it must"
            " be started.", 60, "min", 5, 600),
    Setting("calibration", LATEX, "Latex float time", "Enter a larger number if all your latex floats longer.",
            _default("calibration"), "h/g", 5, 100,
            source="common practice: an untreated 11-inch floats 15 hours"),
    Setting("activation_k", LATEX, "Effect of heat", "Enter a larger number if latex sinks sooner in heat, in"
            " kelvin; 0 means that heat makes no difference.", _default("activation_k"), "K", 0, 8000,
            source=f"25 ± 4 kJ/mol, {MEMORY_FLOAT}"),
    Setting("tag_g", LATEX, "Tag", "The tag on each helium balloon weighs this much, besides its ribbon.",
            0.0, "g", 0, 50),
    Setting("up_height_m", LATEX, "Counts as up from", "A balloon on a longer ribbon counts as up while it stands"
            " at least this high; it carries its ribbon only up to there.", 1.5, "m", 0.2, 10, source=MEMORY),
    Setting("purity_percent", LATEX, "Helium purity", "The gas contains this share of helium, in percent, as the"
            " cylinder's label says; with less helium balloons sink sooner.", 100.0, "%", 50, 100),
    Setting("coat_g", COAT, "Treatment weight", "The treatment in one 11 in latex weighs this much; other"
            " sizes follow by their surface.", _default("coat_g"), "g", 0, 10, source=MEMORY_FLOAT),
    Setting("wet_hours", COAT, "Treatment works after", "A treated balloon loses helium like an untreated one for"
            " this many hours, until its treatment has dried.", _default("wet_hours"), "h", 0, 24,
            source=MEMORY_FLOAT),
    Setting("slowed", COAT, "Effect of treatment", "A treated balloon whose treatment has dried loses helium this"
            " many times more slowly.", _default("slowed"), "times", 1, 100,
            source="common practice: treated latex floats ten times as long"),
    Setting("spread_untreated", VARY, "Variation, untreated", "Float times of untreated latex differ by about this"
            " share: 0.25 is a quarter more or less.", UNTREATED.total, "", 0.01, 2,
            source="computed from an assumed variation"),
    Setting("spread_untreated_balloons", VARY, "From balloon to balloon, untreated", "Of this variation, so much"
            " is from balloon to balloon; the rest is from day to day.", UNTREATED.of_balloons, "", 0, 2,
            source=MEMORY),
    Setting("spread_treated", VARY, "Variation, treated", "Float times of treated latex differ by about this"
            " share: 0.25 is a quarter more or less.", TREATED.total, "", 0.01, 2, source=MEMORY_FLOAT),
    Setting("spread_treated_balloons", VARY, "From balloon to balloon, treated", "Of this variation, so much is"
            " from balloon to balloon; the rest is from day to day.", TREATED.of_balloons, "", 0, 2, source=MEMORY),
    Setting("spread_film", VARY, "Variation, foil", "Float times of foil and spheres differ by about this share:"
            " 0.25 is a quarter more or less.", FILM.total, "", 0.01, 2,
            source="“1 to 2 weeks”, read as what nine in ten do"),
    Setting("spread_film_balloons", VARY, "From balloon to balloon, foil", "Of this variation, so much is from"
            " balloon to balloon, because seams and valves differ; the rest is from day to day.", FILM.of_balloons,
            "", 0, 2, source=MEMORY),
    Setting("light_hours_sun", LIGHT, "Latex in the sun", "Latex is good for this many hours in the sun, whatever"
            " gas is in it; then it dulls, weakens and bursts.", LIMITS.sun, "h", 0.5, 2000, source=MEMORY),
    Setting("light_hours_shade", LIGHT, "Latex in the shade", "Latex is good for this many hours of daylight"
            " outdoors in the shade.", LIMITS.shade, "h", 1, 2000, source=MEMORY),
    Setting("light_hours_air_indoors", LIGHT, "Air-filled latex indoors", "Air-filled latex is good for this many"
            " hours indoors.", LIMITS.air_indoors, "h", 1, 2000, source=MEMORY),
    Setting("light_hours_helium_indoors", LIGHT, "Helium-filled latex indoors", "Latex filled with helium is good"
            " for this many hours indoors.", LIMITS.helium_indoors, "h", 1, 5000, source=MEMORY),
    Setting("daylight_from_hour", LIGHT, "Daylight from", "Outdoors it is light from this hour after midnight, 7.5"
            " for half past seven; only daylight ages latex there.", 7.0, "h", 0, 11.5, source=MEMORY),
    Setting("daylight_until_hour", LIGHT, "Daylight until", "Outdoors it is light until this hour after midnight.",
            20.0, "h", 12, 23.5, source=MEMORY),
    Setting("air_indoors_percent", SIZES, "Air fill indoors", "Air-filled latex is filled to this share of its full"
            " size indoors, in percent.", _percent("indoors"), "%", 30, 90, source=COMMON),
    Setting("air_outdoors_percent", SIZES, "Air fill in shade", "Air-filled latex is filled to this share of its"
            " full size outdoors in the shade, in percent.", _percent("outdoors"), "%", 30, 90, source=COMMON),
    Setting("air_hot_or_sun_percent", SIZES, "Air fill in sun", "Air-filled latex is filled to this share of its"
            " full size in the sun or above 30\u00a0°C, in percent.", _percent("hot_or_sun"), "%", 30, 90,
            source=COMMON),
    Setting("air_limit_percent", SIZES, "Largest air fill", "Air-filled latex is never filled beyond this share of"
            " its full size, in percent.", _percent("limit"), "%", 30, 90, source=COMMON),
    Setting("wind_limit_m_s", OUTDOORS, "Wind limit", "Stronger wind brings a warning against helium"
            " outdoors; until a forecast is entered, weights are calculated for this wind.",
            _default("wind_limit_m_s"), "m/s", 0.5, 20, source=MEMORY),
    Setting("grip_percent", OUTDOORS, "Grip of weights", "A weight slides when it is pulled sideways with this"
            " share of its own weight, in percent; enter less for wet grass or smooth stone.", _percent("grip"),
            "%", 10, 100, source=MEMORY),
)
# fmt: on
