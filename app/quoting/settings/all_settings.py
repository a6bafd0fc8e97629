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
from app.physics.endurance import FloatDefaults
from app.physics.leak import Rubber
from app.planning.window import Certainty
from app.planning.work import WorkTimes
from app.quoting.settings.setting import COMMON, MEMORY, MONEY, NO_DAY, WEEKDAYS, Setting, write_mix

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


THE_SHOP, PLACES, PROMISE = "The shop", "Warmth and height", "What is promised"
LATEX, OTHERS, SIZES, WORK, VENUE, SHOWN = (
    "How latex leaks",
    "Foil, spheres and air",
    "Fill sizes with air",
    "Work at the bench",
    "Filling at the venue",
    "How pages show it",
)
OUTDOORS, PRICES, COSTS, ON_HAND = "Outdoors", "Prices and tax", "What it costs the shop", "What is on hand"

LOCALES = (
    *("en_GB", "en_US", "en_AU", "en_CA", "en_IE", "en_IN", "en_NZ", "en_ZA"),
    *("en_AT", "en_BE", "en_CH", "en_DE", "en_DK", "en_ES", "en_FI", "en_FR", "en_IT", "en_NL", "en_SE"),
)
"""English as each of these countries writes its dates and numbers."""
MEASURES = ("cm and g", "inches and ounces")

CRAFT = "Craft"
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
    Setting("knot_below_cm", CRAFT, "Knot", "So far below the lowest neck the ribbons of a bouquet meet.",
            BOUQUET.knot_below_cm, "cm", 10, 500, source=COMMON),
    Setting("ribbon_end_cm", CRAFT, "End of a ribbon", "Cut more for tying; a strung line has it at both ends.",
            BOUQUET.end_cm, "cm", 0, 100, source=COMMON),
    Setting("string_gap_cm", CRAFT, "Gap", "Free air between balloons one above another.", BOUQUET.gap_cm, "cm", 0,
            100, source=COMMON),
    Setting("ribbon_g_per_m", CRAFT, "Ribbon", "Grams of a metre.", BOUQUET.ribbon_g_per_m, "g/m", 0, 20,
            source="computed: 5 mm polypropylene ribbon, 0.9 g/cm³"),
    Setting("weight_factor", CRAFT, "Weight indoors", "So many times what the balloons pull.",
            BOUQUET.weight_factor, "times", 1, 10, source=COMMON),
    Setting("column_tolerance_cm", CRAFT, "Height of a column", "So near to the wanted one, none other is offered.",
            ColumnDefaults().tolerance_m * 100, "cm", 0, 100, source=COMMON),
    Setting("squeeze_percent", CRAFT, "Squeeze at a bend",
            "Share of a diameter by which balloons inside an arch may press into each other.",
            ArchDefaults().squeeze * 100, "%", 1, 40, source=MEMORY),
    Setting("garland_light", CRAFT, "Garland, light", "Balloons a metre.", GARLAND.light, "per m", 1, 200,
            source=COMMON),
    Setting("garland_medium", CRAFT, "Garland, medium", "The same.", GARLAND.medium, "per m", 1, 200,
            source=COMMON),
    Setting("garland_full", CRAFT, "Garland, full", "The same.", GARLAND.full, "per m", 1, 200, source=COMMON),
    Setting("garland_mix", CRAFT, "Garland, sizes", "Nominal sizes and their shares.", write_mix(GARLAND.mix),
            high=120, source=MEMORY),
    Setting("strung_spacing_m", CRAFT, "Strung arch", "From knot to knot, unless a design says otherwise.",
            STRUNG.spacing_m, "m", 0.05, 5, source=MEMORY),
    Setting("strung_line_g_m", CRAFT, "Line of a strung arch", "Grams of a metre.", STRUNG.line_g_m, "g/m", 0, 50,
            source="computed: as the ribbon"),
    Setting("strung_tie_g", CRAFT, "Tie of a strung balloon", "What hangs on each besides the line.", STRUNG.tie_g,
            "g", 0, 50, source=MEMORY),
    Setting("water_most_percent", CRAFT, "Water at most", "Share of the rated diameter of a balloon of water.",
            WATER.most * 100, "%", 10, 100, source=COMMON),
    Setting("water_step_in", CRAFT, "Water in steps of", "Of the sizer.", WATER.step_in, "in", 0.05, 1,
            source=COMMON),
    Setting("stuffing_largest_in", CRAFT, "Stuffed, largest item",
            "Across, pressed together; in proportion for other balloons.", STUFFING.largest_in, "in", 1, 30,
            source=COMMON),
    Setting("stuffing_at_nominal_in", CRAFT, "… into a balloon of", "The size that this item goes into.",
            STUFFING.at_nominal_in, "in", 5, 60, source=COMMON),
    Setting("bag_length_percent", CRAFT, "Length of a bag", "Of its flat width, as supplies have it.", 140.0, "%",
            50, 500, source=MEMORY),
    Setting("bag_closing_cm", CRAFT, "Closing a bag", "Takes so much of its length.", BAGS.closing_cm, "cm", 0, 100,
            source=MEMORY),
    Setting("bag_most_layers", CRAFT, "Layers in a bag", "At most, one piece above another.", BAGS.most_layers,
            "layers", 1, 10, source=MEMORY),
)

SETTINGS: tuple[Setting, ...] = (
    Setting("name", THE_SHOP, "Name", "Stands at the top of every page.", "Our balloon shop", high=60),
    Setting("zone", THE_SHOP, "Time zone", "All hours are shown in it.", "UTC", high=60),
    Setting("caution", THE_SHOP, "Caution", "Shown wherever balloons are sold or handed over.", CAUTION, high=1000,
            source="15 U.S.C. 1278; 16 CFR 1500.19(b)(2)"),
    Setting("treat_minor", THE_SHOP, "Treatment, per balloon", "Added to the price of a treated balloon.", 50,
            MONEY, 0, 1_000_000),
    Setting("shop_celsius", PLACES, "Shop", "Temperature where balloons are filled and wait.", 20.0, "°C", -10, 45),
    Setting("shop_elevation_m", PLACES, "Elevation of the shop", "Venues count as the same unless told.", 0.0, "m",
            -430, 5000),
    Setting("indoors_celsius", PLACES, "Venue indoors", "Used when nobody says how warm the room is.", 20.0, "°C",
            -10, 45),
    Setting("journey_celsius", PLACES, "Delivery van", "Temperature on the way.", 20.0, "°C", -30, 60),
    Setting("certainty_percent", PROMISE, "Safe from", "A chance from here up is called safe.", _percent("safe"),
            "%", 50, 99.9),
    Setting("lower_limit_percent", PROMISE, "Chancy from", "Below safe and from here up is chancy; less is no.",
            _percent("risky"), "%", 1, 99.9),
    Setting("step_minutes", PROMISE, "Step of hours told", "Hours told to a customer stand on this step.", 15,
            "min", 1, 60),
    Setting("soon_minutes", PROMISE, "Due within", "The bench calls a batch due so long before its inflate-by.", 60,
            "min", 5, 600),
    Setting("calibration", LATEX, "Calibration", "Makes an untreated 11-inch float 15 hours.",
            _default("calibration"), "h/g", 5, 100, source=COMMON),
    Setting("activation_k", LATEX, "Warmth", "How strongly heat speeds the leak.", _default("activation_k"), "K", 0,
            8000, source=f"25 ± 4 kJ/mol, {MEMORY}"),
    Setting("load_g", LATEX, "Load", "Ribbon and tag that each balloon carries.", _default("load_g"), "g", 0, 50,
            source="computed: 1.5 m of 5 mm polypropylene ribbon"),
    Setting("purity_percent", LATEX, "Helium in the gas", "As the cylinder's label says.", 100.0, "%", 50, 100),
    Setting("coat_g", LATEX, "Coat", "Treatment left in an 11-inch balloon.", _default("coat_g"), "g", 0, 10,
            source=MEMORY),
    Setting("wet_hours", LATEX, "Wet hours", "Until then a treated balloon leaks like an untreated one.",
            _default("wet_hours"), "h", 0, 24, source=MEMORY),
    Setting("slowed", LATEX, "Slowed by treatment", "How many times slower it leaks once dry.", _default("slowed"),
            "times", 1, 100, source="ten times the hours: common practice"),
    Setting("spread_untreated", LATEX, "Spread, untreated", "σ of the log-normal: how much days differ.",
            _default("spread_untreated"), "", 0.01, 2, source="computed from an assumed scatter"),
    Setting("spread_treated", LATEX, "Spread, treated", "The same for treated latex.", _default("spread_treated"),
            "", 0.01, 2, source=MEMORY),
    Setting("spread_film", OTHERS, "Spread, foil and spheres", "The same for foil and spheres.",
            _default("spread_film"), "", 0.01, 2, source=MEMORY),
    Setting("air_hours_indoors", OTHERS, "Air-filled, indoors", "So long air-filled latex looks its best.",
            _default("air_hours_indoors"), "h", 1, 2000, source=MEMORY),
    Setting("air_hours_shade", OTHERS, "Air-filled, shade", "The same outdoors in the shade.",
            _default("air_hours_shade"), "h", 1, 2000, source=MEMORY),
    Setting("air_hours_sun", OTHERS, "Air-filled, sun", "The same outdoors in the sun.", _default("air_hours_sun"),
            "h", 0.5, 2000, source=MEMORY),
    Setting("air_indoors_percent", SIZES, "Indoors", "Share of the rated diameter.", _percent("indoors"), "%", 30,
            90, source=COMMON),
    Setting("air_outdoors_percent", SIZES, "Outdoors", "The same outdoors in the shade.", _percent("outdoors"), "%",
            30, 90, source=COMMON),
    Setting("air_hot_or_sun_percent", SIZES, "Sun, or above 30 °C", "The same in sun or heat.",
            _percent("hot_or_sun"), "%", 30, 90, source=COMMON),
    Setting("air_limit_percent", SIZES, "Never above", "No air-filled latex is filled further.", _percent("limit"),
            "%", 30, 90, source=COMMON),
    Setting("wind_limit_m_s", OUTDOORS, "Wind limit",
            "Above it we advise against helium outdoors. Weights are reckoned with it until the wind is told.",
            _default("wind_limit_m_s"), "m/s", 0.5, 20, source=MEMORY),
    Setting("grip_percent", OUTDOORS, "Grip of a weight",
            "With what share of its weight it resists sliding: less on wet grass or smooth stone.",
            _percent("grip"), "%", 10, 100, source=MEMORY),
    Setting("prepare_minutes", WORK, "Preparation", "Once per batch.", _default("prepare_minutes"), "min", 0, 240,
            source=COMMON),
    Setting("handle_seconds", WORK, "Handling latex", "Size, tie and ribbon one.", _default("handle_seconds"), "s",
            0, 900, source=COMMON),
    Setting("seal_seconds", WORK, "Handling foil and spheres", "Seal and ribbon one.", _default("seal_seconds"),
            "s", 0, 900, source=COMMON),
    Setting("treat_seconds", WORK, "Treating", "Coat one before filling.", _default("treat_seconds"), "s", 0, 900,
            source=COMMON),
    Setting("stuff_seconds", WORK, "Stuffing", "Put the items into one stuffed balloon at the machine.",
            _default("stuff_seconds"), "s", 0, 3600, source=COMMON),
    Setting("helium_l_per_s", WORK, "Helium flow", "As a timed fill says.", _default("helium_l_per_s"), "L/s",
            0.1, 50, source=COMMON),
    Setting("air_l_per_s", WORK, "Air flow", "The same at the air pump.", _default("air_l_per_s"), "L/s", 0.1, 50,
            source=COMMON),
    Setting("helium_points", WORK, "Helium points", "Places to fill with helium, each for one hand.", 1,
            "points", 0, 20),
    Setting("air_points", WORK, "Air points", "The same with air.", 1, "points", 0, 20),
    Setting("stuffing_points", WORK, "Stuffing machines", "Where stuffing latex is opened, stuffed and filled.", 1,
            "points", 0, 20),
    Setting("finishing_minutes", WORK, "Tail", "Weights, assembly, bagging; once per order.",
            _default("finishing_minutes"), "min", 0, 600, source=COMMON),
    Setting("drying_minutes", WORK, "Drying", "Treated balloons dry before they are bagged.",
            _default("drying_minutes"), "min", 0, 1440, source=MEMORY),
    Setting("spares_percent", WORK, "Spares", "Latex laid out beyond what was ordered, for what bursts.", 5.0,
            "%", 0, 100, source=MEMORY),
    Setting("tax_mode", PRICES, "Tax", "Whether prices contain it, or it comes on top. Ask your tax adviser.",
            "none", high=20, choices=("none", "inclusive", "on top")),
    Setting("tax_percent", PRICES, "Rate of tax", "Rounded once a line, half up. Orders keep theirs.", 0.0, "%", 0,
            100),
    Setting("deposit_percent", PRICES, "Deposit", "Asked of an order when it is taken.", 0.0, "%", 0, 100),
    Setting("delivery_minor", PRICES, "Delivery", "Offered as an add-on.", 0, MONEY, 0, 100_000_000),
    Setting("set_up_minor", PRICES, "Set-up", "The same.", 0, MONEY, 0, 100_000_000),
    Setting("take_down_minor", PRICES, "Take-down", "The same: a crew fetches hired goods, cuts and bins balloons.",
            0, MONEY, 0, 100_000_000),
    Setting("markup_percent", PRICES, "Mark-up", "On the cost of a design whose price is computed.", 150.0, "%", 0,
            10_000, source=MEMORY),
    Setting("price_step_minor", PRICES, "Step of prices", "Computed prices are rounded up to it.", 50, MONEY, 0,
            1_000_000),
    Setting("floor_percent", PRICES, "Margin floor", "Below it the counter is warned.", 0.0, "%", 0, 95),
    Setting("hour_minor", COSTS, "An hour of one hand", "Filling, finishing, crews away.", 0, MONEY, 0, 10_000_000),
    Setting("helium_m3_minor", COSTS, "Helium", "A cubic metre, hire of the cylinder included.", 0, MONEY, 0,
            100_000_000),
    Setting("ribbon_m", COSTS, "Ribbon", "On each loose helium balloon.", 1.5, "m", 0, 20,
            source="0.75 g at 0.5 g/m, as the load above"),
    Setting("treat_ml", COSTS, "Treatment", "In an 11-inch; others by their surface.", 5.0, "mL", 0, 100,
            source=MEMORY),
    Setting("rental_uses", COSTS, "Hires", "So often a hired piece goes out before it is worn.", 20, "times", 1,
            1000, source=MEMORY),
    Setting("venue_minor", VENUE, "Fee", "Added to an order that a crew fills at the venue.", 8000, MONEY, 0,
            100_000_000),
    Setting("crew", VENUE, "Crew", "Hands away from the bench, with one helium point and its cylinders.", 2,
            "staff", 1, 20, source=COMMON),
    Setting("venue_travel_minutes", VENUE, "Travel", "One way, unless the order says otherwise.", 30, "min", 1,
            1440),
    Setting("set_up_minutes", VENUE, "Setting up", "From being let in until the first fill.", 20, "min", 0, 600,
            source=COMMON),
    Setting("hanging_minutes", VENUE, "Hanging", "From the last fill until all hang.", 30, "min", 0, 1440,
            source=COMMON),
    Setting("take_down_minutes", VENUE, "Take-down", "From being let in until all is cut, binned and loaded.", 30,
            "min", 1, 600, source=COMMON),
    Setting("delivery_weekday", ON_HAND, "Goods come on", "The buying list reckons up to the delivery after next.",
            NO_DAY, high=20, choices=(NO_DAY, *WEEKDAYS)),
    Setting("delivery_lead_days", ON_HAND, "Ordered before", "So many days before they come.", 2, "days", 0, 60),
    Setting("old_lot_months", ON_HAND, "Old after", "Latex that lies longer is better set aside for water weights"
            " and practice.", 12, "months", 1, 120, source=MEMORY),
    Setting("holding_area_room", ON_HAND, "Room of the corral",
            "Filled 11-inch balloons that may wait there, others by the square of their size; 0: nobody said.",
            0, "balloons", 0, 100_000),
    Setting("cylinder_rest_bar", ON_HAND, "Left in a cylinder", "It goes back with so much on the gauge.", 2.0,
            "bar", 0, 50, source=COMMON),
    Setting("gas_tolerance_percent", ON_HAND, "Gauge against filled", "A difference above it is told: a leak, or"
            " a wrong gauge.", 15.0, "%", 1, 100, source=MEMORY),
    *CRAFT_SETTINGS,
    Setting("locale", SHOWN, "Dates and numbers", "The country whose dates, numbers and prices the pages follow.",
            LOCALES[0], high=10, choices=LOCALES, source="Unicode CLDR, by Babel"),
    Setting("currency_symbol", SHOWN, "Currency", "The symbol beside every amount.", "$", high=5),
    Setting("currency_decimals", SHOWN, "Decimals of the currency",
            "Digits after the decimal mark. Set this first: saved amounts do not change with it.", 2, "digits", 0,
            3),
    Setting("clock", SHOWN, "Clock", "The clock on pages. A time can be typed either way. The history uses 24 h.",
            "24 h", high=10, choices=("24 h", "12 h")),
    Setting("temperature", SHOWN, "Temperature",
            "The unit on pages and in the order form. Settings and history use °C.", "°C", high=10,
            choices=("°C", "°F")),
    Setting("length", SHOWN, "Balloon sizes", "The unit on pages. Balloon types, prices and history use inches.",
            "in", high=10, choices=("in", "cm")),
    Setting("measures", SHOWN, "Lengths, weights and wind",
            "The units of ribbon, designs, weights and wind on pages. Settings and forms use cm, g and m/s.",
            MEASURES[0], high=20, choices=MEASURES),
)
# fmt: on
