"""Every setting of the shop with its meaning, unit, default and range. Pages and checks read this one list."""

from dataclasses import fields

from app.craft.arches import ArchDefaults
from app.craft.bagging import BagDefaults
from app.craft.bouquet import BouquetDefaults
from app.craft.clusters import ColumnDefaults
from app.craft.garland import GarlandDefaults
from app.craft.sizing import AirSizes
from app.craft.strung import StrungDefaults
from app.craft.stuffed import StuffingDefaults
from app.craft.weights import Outdoors, WaterDefaults
from app.physics.endurance import FILM, TREATED, UNTREATED, FloatDefaults
from app.physics.leak import Rubber
from app.physics.light import LightLimits
from app.planning.window import Certainty
from app.planning.work import WorkTimes
from app.quoting.settings.setting import COMMON, MEMORY, MEMORY_FLOAT, MONEY, NO_DAY, WEEKDAYS, Setting, write_mix

CAUTION = (
    "⚠ WARNING: CHOKING HAZARD—Children under 8 yrs. can choke or suffocate on uninflated or broken balloons. "
    "Adult supervision required. Keep uninflated balloons from children. Discard broken balloons at once."
)
"""15 U.S.C. 1278 and 16 CFR 1500.19(b)(2), word for word; other countries have their own."""


_DEFAULTS = {
    f.name: f.default
    for owner in (Rubber, FloatDefaults, WorkTimes, AirSizes, Certainty, Outdoors)
    for f in fields(owner)
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


THE_SHOP, PLACES, PROMISE = "The shop", "Temperature and altitude", "Promises to customers"
LATEX, OTHERS, SIZES, WORK, VENUE, SHOWN = (
    "How long latex floats",
    "Foil and spheres",
    "Fill sizes with air",
    "Work at the bench",
    "Filling at the venue",
    "How pages show it",
)
LIGHT, OUTDOORS = "Light", "Outdoors"
PRICES, COSTS, ON_HAND = "Prices and tax", "Costs of the shop", "Stock and gas"

LOCALES = (
    *("en_GB", "en_US", "en_AU", "en_CA", "en_IE", "en_IN", "en_NZ", "en_ZA"),
    *("en_AT", "en_BE", "en_CH", "en_DE", "en_DK", "en_ES", "en_FI", "en_FR", "en_IT", "en_NL", "en_SE"),
)
"""English as each of these countries writes its dates and numbers."""
MEASURES = ("cm and g", "inches and ounces")

LIMITS = LightLimits()
CRAFT = "Building designs"
BOUQUET, GARLAND, STRUNG, WATER, STUFFING, BAGS = (
    BouquetDefaults(),
    GarlandDefaults(),
    StrungDefaults(),
    WaterDefaults(),
    StuffingDefaults(),
    BagDefaults(),
)

# fmt: off
CRAFT_SETTINGS: tuple[Setting, ...] = (
    Setting("knot_below_cm", CRAFT, "Bouquet knot", "The ribbons of a bouquet are knotted together this far"
            " below the lowest balloon neck.", BOUQUET.knot_below_cm, "cm", 10, 500, source=COMMON),
    Setting("ribbon_end_cm", CRAFT, "Ribbon for tying", "Each ribbon is cut this much longer for tying; the line"
            " of a strung arch is longer at both ends.", BOUQUET.end_cm, "cm", 0, 100, source=COMMON),
    Setting("string_gap_cm", CRAFT, "Gap between balloons", "Balloons that hang one above another are this far"
            " apart.", BOUQUET.gap_cm, "cm", 0, 100, source=COMMON),
    Setting("ribbon_g_per_m", CRAFT, "Ribbon weight", "The weight of ribbon, by its length.",
            BOUQUET.ribbon_g_per_m, "g/m", 0, 20, source="computed from 5 mm polypropylene ribbon of 0.9 g/cm³"),
    Setting("weight_factor", CRAFT, "Weight indoors", "Indoors, a weight is at least this many times as heavy as"
            " the pull of its balloons.", BOUQUET.weight_factor, "times", 1, 10, source=COMMON),
    Setting("column_tolerance_cm", CRAFT, "Column height tolerance", "If no column comes as near as this to the"
            " height asked for, the next lower and the next higher are offered.",
            ColumnDefaults().tolerance_m * 100, "cm", 0, 100, source=COMMON),
    Setting("squeeze_percent", CRAFT, "Squeeze in arches", "Balloons on the inside of an arch may press into each"
            " other by this share of their diameter, in percent.", ArchDefaults().squeeze * 100, "%", 1, 40,
            source=MEMORY),
    Setting("garland_light", CRAFT, "Light garland", "A light garland has this many balloons, by its length.",
            GARLAND.light, "per m", 1, 200, source=COMMON),
    Setting("garland_medium", CRAFT, "Medium garland", "A medium garland has this many balloons, by its length.",
            GARLAND.medium, "per m", 1, 200, source=COMMON),
    Setting("garland_full", CRAFT, "Full garland", "A full garland has this many balloons, by its length.",
            GARLAND.full, "per m", 1, 200, source=COMMON),
    Setting("garland_mix", CRAFT, "Garland sizes", "A garland mixes these sizes, each in inches with its share of"
            " all balloons in percent.", write_mix(GARLAND.mix), high=120, source=MEMORY),
    Setting("strung_spacing_m", CRAFT, "Strung arch spacing", "Balloons on a strung arch are this far apart"
            " along the line, unless the design says otherwise.", STRUNG.spacing_m, "m", 0.05, 5, source=MEMORY),
    Setting("strung_line_g_m", CRAFT, "Strung arch line", "The weight of the line of a strung arch, by its"
            " length.", STRUNG.line_g_m, "g/m", 0, 50,
            source="computed from 5 mm polypropylene ribbon of 0.9 g/cm³"),
    Setting("strung_tie_g", CRAFT, "Strung arch tie", "What ties one balloon to the line of a strung arch weighs"
            " this much.", STRUNG.tie_g, "g", 0, 50, source=MEMORY),
    Setting("water_most_percent", CRAFT, "Largest water weight", "A balloon filled with water as a weight is at"
            " most this share of its full diameter, in percent.", WATER.most * 100, "%", 10, 100, source=COMMON),
    Setting("water_step_in", CRAFT, "Water weight step", "Sizes of water weights are rounded to this step on the"
            " sizer, in inches.", WATER.step_in, "in", 0.05, 1, source=COMMON),
    Setting("stuffing_largest_in", CRAFT, "Largest stuffing item", "An item in a stuffed balloon of the “Stuffed"
            " balloon size” is at most this many inches across when pressed together; other sizes follow in"
            " proportion.", STUFFING.largest_in, "in", 1, 30, source=COMMON),
    Setting("stuffing_at_nominal_in", CRAFT, "Stuffed balloon size", "“Largest stuffing item” is meant for a"
            " stuffed balloon of this size, in inches.", STUFFING.at_nominal_in, "in", 5, 60, source=COMMON),
    Setting("bag_length_percent", CRAFT, "Bag length", "A carrying bag is this long, in percent of its flat width.",
            140.0, "%", 50, 500, source=MEMORY),
    Setting("bag_closing_cm", CRAFT, "Bag closing", "Closing a carrying bag takes up this much of its length.",
            BAGS.closing_cm, "cm", 0, 100, source=MEMORY),
    Setting("bag_most_layers", CRAFT, "Layers in a bag", "A carrying bag holds at most this many layers of"
            " balloons, one above another.", BAGS.most_layers, "layers", 1, 10, source=MEMORY),
)

SETTINGS: tuple[Setting, ...] = (
    Setting("name", THE_SHOP, "Shop name", "The name is shown at the top of every page.", "Our balloon shop",
            high=60),
    Setting("zone", THE_SHOP, "Time zone", "All times are typed and shown in this time zone, for example"
            " Europe/London.", "UTC", high=60),
    Setting("caution", THE_SHOP, "Caution", "This safety warning is shown wherever balloons are sold or handed"
            " over.", CAUTION, high=1000,
            source="15 U.S.C. 1278 and 16 CFR 1500.19(b)(2); other countries have their own"),
    Setting("treat_minor", THE_SHOP, "Treatment price", "This is added to the price of each balloon that is treated"
            " to float longer.", 50, MONEY, 0, 1_000_000),
    Setting("shop_celsius", PLACES, "Shop temperature", "Balloons are filled and wait at this temperature, in °C;"
            " in a warm room latex sinks sooner.", 20.0, "°C", -10, 45),
    Setting("shop_elevation_m", PLACES, "Shop altitude", "The shop lies this high above sea level; a venue"
            " without an altitude of its own counts as equally high.", 0.0, "m", -430, 5000),
    Setting("indoors_celsius", PLACES, "Indoor venue temperature", "A venue indoors counts as this warm, in °C, if"
            " the order has no temperature.", 20.0, "°C", -10, 45),
    Setting("journey_celsius", PLACES, "Van temperature", "Balloons travel at this temperature in the delivery van,"
            " in °C.", 20.0, "°C", -30, 60),
    Setting("certainty_percent", PROMISE, "Safe from", "An order is Safe if the chance that as many balloons as"
            " promised are still up at the end is at least this, in percent.", _percent("safe"), "%", 50, 99.9),
    Setting("lower_limit_percent", PROMISE, "Risky from", "An order is Risky if the chance that as many balloons"
            " as promised are still up at the end is at least this but below “Safe from”, in percent.",
            _percent("risky"), "%", 1, 99.9),
    Setting("promised_percent", PROMISE, "Share promised", "The shop promises that at least this share of the"
            " balloons filled alike are still up at the end, in percent: at 90, 22 of 24, and all of up to nine.",
            _percent("promised_share"), "%", 1, 100, source=MEMORY),
    Setting("step_minutes", PROMISE, "Times rounded to", "Times that are offered to a customer are rounded to this"
            " many minutes.", 15, "min", 1, 60),
    Setting("soon_minutes", PROMISE, "Due soon", "The board marks a batch as due this many minutes before it must"
            " be started.", 60, "min", 5, 600),
    Setting("calibration", LATEX, "Latex float time", "Enter a larger number if all your latex floats longer, in"
            " hours per gram of rubber.", _default("calibration"), "h/g", 5, 100,
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
    Setting("coat_g", LATEX, "Treatment weight", "The treatment in an 11-inch balloon weighs this much; other"
            " sizes follow by their surface.", _default("coat_g"), "g", 0, 10, source=MEMORY_FLOAT),
    Setting("wet_hours", LATEX, "Treatment works after", "A treated balloon loses helium like an untreated one for"
            " this many hours, until its treatment has dried.", _default("wet_hours"), "h", 0, 24,
            source=MEMORY_FLOAT),
    Setting("slowed", LATEX, "Effect of treatment", "A treated balloon whose treatment has dried loses helium this"
            " many times more slowly.", _default("slowed"), "times", 1, 100,
            source="common practice: treated latex floats ten times as long"),
    Setting("spread_untreated", LATEX, "Variation, untreated", "Float times of untreated latex differ by about this"
            " share: 0.25 is a quarter more or less.", UNTREATED.total, "", 0.01, 2,
            source="computed from an assumed variation"),
    Setting("spread_untreated_balloons", LATEX, "From balloon to balloon, untreated", "Of this variation, so much"
            " is from balloon to balloon; the rest is from day to day.", UNTREATED.of_balloons, "", 0, 2,
            source=MEMORY),
    Setting("spread_treated", LATEX, "Variation, treated", "Float times of treated latex differ by about this"
            " share: 0.25 is a quarter more or less.", TREATED.total, "", 0.01, 2, source=MEMORY_FLOAT),
    Setting("spread_treated_balloons", LATEX, "From balloon to balloon, treated", "Of this variation, so much is"
            " from balloon to balloon; the rest is from day to day.", TREATED.of_balloons, "", 0, 2, source=MEMORY),
    Setting("spread_film", OTHERS, "Variation, foil", "Float times of foil and spheres differ by about this share:"
            " 0.25 is a quarter more or less.", FILM.total, "", 0.01, 2,
            source="“1 to 2 weeks”, read as what nine in ten do"),
    Setting("spread_film_balloons", OTHERS, "From balloon to balloon, foil", "Of this variation, so much is from"
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
            " full size in the sun or above 30 °C, in percent.", _percent("hot_or_sun"), "%", 30, 90,
            source=COMMON),
    Setting("air_limit_percent", SIZES, "Largest air fill", "Air-filled latex is never filled beyond this share of"
            " its full size, in percent.", _percent("limit"), "%", 30, 90, source=COMMON),
    Setting("wind_limit_m_s", OUTDOORS, "Wind limit", "Stronger wind brings a warning against helium"
            " outdoors; until a forecast is entered, weights are calculated for this wind.",
            _default("wind_limit_m_s"), "m/s", 0.5, 20, source=MEMORY),
    Setting("grip_percent", OUTDOORS, "Grip of weights", "A weight slides when it is pulled sideways with this"
            " share of its own weight, in percent; enter less for wet grass or smooth stone.", _percent("grip"),
            "%", 10, 100, source=MEMORY),
    Setting("prepare_minutes", WORK, "Preparation", "Each batch takes this many minutes of work before its first"
            " balloon.", _default("prepare_minutes"), "min", 0, 240, source=COMMON),
    Setting("handle_seconds", WORK, "Handling latex", "Sizing, tying and ribboning one latex balloon takes this"
            " many seconds, besides filling it.", _default("handle_seconds"), "s", 0, 900, source=COMMON),
    Setting("seal_seconds", WORK, "Handling foil", "Sealing and ribboning one foil or sphere takes this many"
            " seconds, besides filling it.", _default("seal_seconds"), "s", 0, 900, source=COMMON),
    Setting("treat_seconds", WORK, "Treating", "Treating one balloon before it is filled takes this many seconds.",
            _default("treat_seconds"), "s", 0, 900, source=COMMON),
    Setting("stuff_seconds", WORK, "Stuffing", "Putting the items into one stuffed balloon at the machine takes"
            " this many seconds.", _default("stuff_seconds"), "s", 0, 3600, source=COMMON),
    Setting("helium_l_per_s", WORK, "Helium flow", "A helium filling point gives this many litres per second.",
            _default("helium_l_per_s"), "L/s", 0.1, 50, source=COMMON),
    Setting("air_l_per_s", WORK, "Air flow", "An air filling point gives this many litres per second.",
            _default("air_l_per_s"), "L/s", 0.1, 50, source=COMMON),
    Setting("helium_points", WORK, "Helium filling points", "Helium can be filled at this many places, by one"
            " person each.", 1, "points", 0, 20),
    Setting("air_points", WORK, "Air filling points", "Air can be filled at this many places, by one person each.",
            1, "points", 0, 20),
    Setting("stuffing_points", WORK, "Stuffing machines", "Latex can be stuffed at this many machines, by one"
            " person each.", 1, "points", 0, 20),
    Setting("finishing_minutes", WORK, "Finishing", "Each order takes this many minutes after its last fill, for"
            " weights, assembly and bagging.", _default("finishing_minutes"), "min", 0, 600, source=COMMON),
    Setting("drying_minutes", WORK, "Drying", "Treated balloons dry for this many minutes before they are bagged.",
            _default("drying_minutes"), "min", 0, 1440, source=MEMORY),
    Setting("spares_percent", WORK, "Spares", "This share of the latex in an order is laid out as spares, in"
            " percent, because some balloons burst.", 5.0, "%", 0, 100, source=MEMORY),
    Setting("tax_mode", PRICES, "Tax", "Your prices include tax, or tax is added to them; ask your tax adviser.",
            "none", high=20, choices=("none", "inclusive", "on top"),
            choice_labels=("No tax", "Included in prices", "Added to prices")),
    Setting("tax_percent", PRICES, "Tax rate", "New orders are taxed at this rate, in percent; saved orders keep"
            " their own rate.", 0.0, "%", 0, 100),
    Setting("deposit_percent", PRICES, "Deposit on orders", "The customer pays this share of the price when the"
            " order is saved, in percent.", 0.0, "%", 0, 100),
    Setting("delivery_minor", PRICES, "Delivery price", "The order form offers a delivery as an extra at this"
            " price.", 0, MONEY, 0, 100_000_000),
    Setting("set_up_minor", PRICES, "Set-up price", "The order form offers setting up at the venue as an extra at"
            " this price.", 0, MONEY, 0, 100_000_000),
    Setting("take_down_minor", PRICES, "Take-down price", "The order form offers a crew that fetches rentals and"
            " clears away the balloons as an extra at this price.", 0, MONEY, 0, 100_000_000),
    Setting("markup_percent", PRICES, "Mark-up", "A design without a price of its own is sold at its cost plus this"
            " share, in percent.", 150.0, "%", 0, 10_000, source=MEMORY),
    Setting("price_step_minor", PRICES, "Prices rounded to", "Calculated prices are rounded up to a multiple of"
            " this amount.", 50, MONEY, 0, 1_000_000),
    Setting("floor_percent", PRICES, "Lowest profit", "The counter warns if the profit on an order is below this"
            " share of its price without tax, in percent.", 0.0, "%", 0, 95),
    Setting("hour_minor", COSTS, "Cost of work", "One hour of one person's work costs the shop this much.", 0,
            MONEY, 0, 10_000_000),
    Setting("helium_m3_minor", COSTS, "Cost of helium", "One cubic metre of helium costs the shop this much,"
            " including the rent of the cylinder.", 0, MONEY, 0, 100_000_000),
    Setting("ribbon_m", COSTS, "Ribbon used", "A loose helium balloon takes this much ribbon.", 1.5, "m",
            0, 20, source="computed from the weight of ribbon that a loose balloon carries"),
    Setting("treat_ml", COSTS, "Treatment used", "An 11-inch balloon takes this many mL of treatment; other sizes"
            " follow by their surface.", 5.0, "mL", 0, 100, source=MEMORY),
    Setting("rental_uses", COSTS, "Uses of rentals", "A rental can go out this many times before it is worn out;"
            " each time costs its share of what the shop paid for it.", 20, "times", 1, 1000, source=MEMORY),
    Setting("venue_minor", VENUE, "Venue fee", "This is added to the price of an order that a crew fills at the"
            " venue.", 8000, MONEY, 0, 100_000_000),
    Setting("crew", VENUE, "Crew size", "This many people leave the bench to fill at a venue, with one helium"
            " filling point and its cylinders.", 2, "people", 1, 20, source=COMMON),
    Setting("venue_travel_minutes", VENUE, "Travel to the venue", "The crew drives this many minutes each way,"
            " unless the order says otherwise.", 30, "min", 1, 1440),
    Setting("crew_margin_minutes", VENUE, "Crew margin", "The crew leaves so many minutes earlier than it must, but"
            " never arrives before it can enter.", 0, "min", 0, 600),
    Setting("set_up_minutes", VENUE, "Set-up time", "The crew starts to fill this many minutes after it can enter"
            " the venue.", 20, "min", 0, 600, source=COMMON),
    Setting("hanging_minutes", VENUE, "Hanging time", "Everything hangs this many minutes after the last fill at"
            " the venue.", 30, "min", 0, 1440, source=COMMON),
    Setting("take_down_minutes", VENUE, "Take-down time", "Everything is taken down and loaded this many minutes"
            " after the crew can enter the venue.", 30, "min", 1, 600, source=COMMON),
    Setting("delivery_weekday", ON_HAND, "Goods arrive on", "Ordered goods arrive on this weekday; the buying list"
            " covers the time until the delivery after next.", NO_DAY, high=20, choices=(NO_DAY, *WEEKDAYS)),
    Setting("delivery_lead_days", ON_HAND, "Order this early", "Goods must be ordered this many days before they"
            " arrive.", 2, "days", 0, 60),
    Setting("old_lot_months", ON_HAND, "Latex is old after", "After this many months in stock, latex is marked as"
            " old: use it for water weights and practice.", 12, "months", 1, 120, source=MEMORY),
    Setting("holding_area_room", ON_HAND, "Room in the holding area", "This many filled 11-inch balloons can wait,"
            " other sizes by their area; 0 means that it is not checked.", 0, "balloons", 0, 100_000),
    Setting("cylinder_residual_bar", ON_HAND, "Left in cylinders", "A cylinder goes back with this pressure left in"
            " it, in bar.", 2.0, "bar", 0, 50, source=COMMON),
    Setting("gas_tolerance_percent", ON_HAND, "Gas difference", "If the gauge and the balloons filled differ by"
            " more than this, in percent, a leak or a wrong gauge is reported.", 15.0, "%", 1, 100, source=MEMORY),
    *CRAFT_SETTINGS,
    Setting("locale", SHOWN, "Dates and numbers", "The country whose dates, numbers and prices the pages follow.",
            LOCALES[0], high=10, choices=LOCALES, source="Unicode CLDR, by Babel"),
    Setting("currency_symbol", SHOWN, "Currency", "The symbol beside every amount.", "$", high=5),
    Setting("currency_decimals", SHOWN, "Decimals of the currency",
            "Digits after the decimal mark. Set this first: saved amounts do not change with it.", 2, "digits", 0,
            3),
    Setting("clock", SHOWN, "Clock", "The clock on pages. A time can be typed either way. The history keeps the"
            " clock with which it was written.", "24 h", high=10, choices=("24 h", "12 h")),
    Setting("temperature", SHOWN, "Temperature",
            "The unit on pages and in the order form. Settings and history use °C.", "°C", high=10,
            choices=("°C", "°F")),
    Setting("length", SHOWN, "Balloon sizes", "The unit on pages. Balloon types and settings use inches.",
            "in", high=10, choices=("in", "cm")),
    Setting("measures", SHOWN, "Lengths, weights and wind",
            "The units of lengths, weights and wind on pages and in forms. Stock is counted in pieces, m and mL.",
            MEASURES[0], high=20, choices=MEASURES),
)
# fmt: on
