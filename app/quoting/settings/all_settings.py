"""Every setting of the shop with its meaning, unit, default and range. Pages and checks read this one list."""

from app.craft.arches import ArchDefaults
from app.craft.bagging import BagDefaults
from app.craft.bouquet import BouquetDefaults
from app.craft.clusters import ColumnDefaults
from app.craft.garland import GarlandDefaults
from app.craft.strung import StrungDefaults
from app.craft.stuffed import StuffingDefaults
from app.craft.weights import WaterDefaults
from app.planning.going_on import IDLE_FACTOR
from app.planning.work import WorkTimes
from app.quoting.settings.float_settings import FLOAT_SETTINGS
from app.quoting.settings.setting import COMMON, MEMORY, MONEY, NO_DAY, WEEKDAYS, Setting, write_mix
from app.quoting.settings.subjects import (
    ARCHES,
    BAGGING,
    BOARD,
    BOUQUETS,
    COSTS,
    EXTRAS,
    GARLANDS,
    ON_HAND,
    POINTS,
    PRICES,
    SHOP,
    SHOWN,
    VENUE,
    WORK,
)

CAUTION = (
    "⚠ WARNING: CHOKING HAZARD—Children under 8 yrs. can choke or suffocate on uninflated or broken balloons. "
    "Adult supervision required. Keep uninflated balloons from children. Discard broken balloons at once."
)
"""15 U.S.C. 1278 and 16 CFR 1500.19(b)(2), word for word; other countries have their own."""

LOCALES = (
    *("en_GB", "en_US", "en_AU", "en_CA", "en_IE", "en_IN", "en_NZ", "en_ZA"),
    *("en_AT", "en_BE", "en_CH", "en_DE", "en_DK", "en_ES", "en_FI", "en_FR", "en_IT", "en_NL", "en_SE"),
)
"""English as each of these countries writes its dates and numbers."""
CURRENCIES = ("AUD", "CAD", "CHF", "DKK", "EUR", "GBP", "INR", "NZD", "SEK", "USD", "ZAR")
MEASURES = ("cm and g", "inches and ounces")

TIMES = WorkTimes()
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
    Setting("knot_below_cm", BOUQUETS, "Bouquet knot", "The ribbons of a bouquet are knotted together this far"
            " below the lowest balloon neck.", BOUQUET.knot_below_cm, "cm", 10, 500, source=COMMON),
    Setting("ribbon_end_cm", BOUQUETS, "Ribbon for tying", "Each ribbon is cut this much longer for tying; the line"
            " of a strung arch is longer at both ends.", BOUQUET.end_cm, "cm", 0, 100, source=COMMON),
    Setting("string_gap_cm", BOUQUETS, "Gap between balloons", "Balloons that hang one above another are this far"
            " apart.", BOUQUET.gap_cm, "cm", 0, 100, source=COMMON),
    Setting("ribbon_g_per_m", BOUQUETS, "Ribbon weight", "The weight of ribbon, by its length.",
            BOUQUET.ribbon_g_per_m, "g/m", 0, 20, source="computed from 5 mm polypropylene ribbon of 0.9 g/cm³"),
    Setting("weight_factor", BOUQUETS, "Weight indoors", "Indoors, a weight is at least this many times as heavy as"
            " the pull of its balloons.", BOUQUET.weight_factor, "times", 1, 10, source=COMMON),
    Setting("column_tolerance_cm", ARCHES, "Column height tolerance", "If no column comes as near as this to the"
            " height asked for, the next lower and the next higher are offered.",
            ColumnDefaults().tolerance_m * 100, "cm", 0, 100, source=COMMON),
    Setting("squeeze_percent", ARCHES, "Squeeze in arches", "Balloons on the inside of an arch may press into each"
            " other by this share of their diameter, in percent.", ArchDefaults().squeeze * 100, "%", 1, 40,
            source=MEMORY),
    Setting("garland_light", GARLANDS, "Light garland", "A light garland has this many balloons, by its length.",
            GARLAND.light, "per m", 1, 200, source=COMMON),
    Setting("garland_medium", GARLANDS, "Medium garland", "A medium garland has this many balloons, by its length.",
            GARLAND.medium, "per m", 1, 200, source=COMMON),
    Setting("garland_full", GARLANDS, "Full garland", "A full garland has this many balloons, by its length.",
            GARLAND.full, "per m", 1, 200, source=COMMON),
    Setting("garland_mix", GARLANDS, "Garland sizes", "A garland mixes these sizes, each with its share of all"
            " balloons in percent.", write_mix(GARLAND.mix), high=120, source=MEMORY),
    Setting("strung_spacing_m", ARCHES, "Strung arch spacing", "Balloons on a strung arch are this far apart"
            " along the line, unless the design says otherwise.", STRUNG.spacing_m, "m", 0.05, 5, source=MEMORY),
    Setting("strung_line_g_m", ARCHES, "Strung arch line", "The weight of the line of a strung arch, by its"
            " length.", STRUNG.line_g_m, "g/m", 0, 50,
            source="computed from 5 mm polypropylene ribbon of 0.9 g/cm³"),
    Setting("strung_tie_g", ARCHES, "Strung arch tie", "What ties one balloon to the line of a strung arch weighs"
            " this much.", STRUNG.tie_g, "g", 0, 50, source=MEMORY),
    Setting("water_most_percent", BOUQUETS, "Largest water weight", "A balloon filled with water as a weight is at"
            " most this share of its full diameter, in percent.", WATER.most * 100, "%", 10, 100, source=COMMON),
    Setting("water_step_in", BOUQUETS, "Water weight step", "Sizes of water weights are rounded to this step on the"
            " sizer.", WATER.step_in, "in", 0.05, 1, source=COMMON),
    Setting("stuffing_largest_in", BAGGING, "Largest stuffing item", "An item in a stuffed balloon of the “Stuffed"
            " balloon size” is at most this wide when pressed together; other sizes follow in"
            " proportion.", STUFFING.largest_in, "in", 1, 30, source=COMMON),
    Setting("stuffing_at_nominal_in", BAGGING, "Stuffed balloon size", "“Largest stuffing item” is meant for a"
            " stuffed balloon of this size.", STUFFING.at_nominal_in, "in", 5, 60, source=COMMON),
    Setting("bag_length_percent", BAGGING, "Bag length", "A carrying bag is this long, in percent of its flat"
            " width.", 140.0, "%", 50, 500, source=MEMORY),
    Setting("bag_closing_cm", BAGGING, "Bag closing", "Closing a carrying bag takes up this much of its length.",
            BAGS.closing_cm, "cm", 0, 100, source=MEMORY),
    Setting("bag_most_layers", BAGGING, "Layers in a bag", "A carrying bag holds at most this many layers of"
            " balloons, one above another.", BAGS.most_layers, "layers", 1, 10, source=MEMORY),
)

SETTINGS: tuple[Setting, ...] = (
    Setting("name", SHOP, "Shop name", "The name is shown at the top of every page.", "Our balloon shop",
            high=60),
    Setting("shop_address", SHOP, "Shop address", "The address is printed on confirmations; leave it blank to"
            " leave it out.", "", high=200),
    Setting("shop_phone", SHOP, "Shop phone", "The phone number is printed on confirmations; leave it blank to"
            " leave it out.", "", high=60),
    Setting("zone", SHOP, "Time zone", "All times are typed and shown in this time zone. Type a"
            " city and choose from the list, for example Europe/London.", "UTC", high=60),
    Setting("caution", SHOP, "Caution", "This safety warning is shown wherever balloons are sold or handed"
            " over.", CAUTION, high=1000,
            source="15 U.S.C. 1278 and 16 CFR 1500.19(b)(2); other countries have their own"),
    Setting("treat_minor", EXTRAS, "Treatment price", "This is added to the price of each balloon that is treated"
            " to float longer.", 50, MONEY, 0, 1_000_000),
    *FLOAT_SETTINGS,
    Setting("prepare_minutes", WORK, "Preparation", "Each batch takes this many minutes of work before its first"
            " balloon.", TIMES.prepare_minutes, "min", 0, 240, source=COMMON),
    Setting("handle_seconds", WORK, "Handling latex", "Sizing, tying and ribboning one latex balloon takes this"
            " many seconds, besides filling it.", TIMES.handle_seconds, "s", 0, 900, source=COMMON),
    Setting("seal_seconds", WORK, "Handling foil", "Sealing and ribboning one foil or sphere takes this many"
            " seconds, besides filling it.", TIMES.seal_seconds, "s", 0, 900, source=COMMON),
    Setting("treat_seconds", WORK, "Treating", "Treating one balloon before it is filled takes this many seconds.",
            TIMES.treat_seconds, "s", 0, 900, source=COMMON),
    Setting("stuff_seconds", WORK, "Stuffing", "Putting the items into one stuffed balloon at the machine takes"
            " this many seconds.", TIMES.stuff_seconds, "s", 0, 3600, source=COMMON),
    Setting("helium_l_per_s", POINTS, "Helium flow", "A helium filling point gives this many litres per second.",
            TIMES.helium_l_per_s, "L/s", 0.1, 50, source=COMMON),
    Setting("air_l_per_s", POINTS, "Air flow", "An air filling point gives this many litres per second.",
            TIMES.air_l_per_s, "L/s", 0.1, 50, source=COMMON),
    Setting("helium_points", POINTS, "Helium filling points", "Helium can be filled at this many places, by one"
            " person each.", 1, "points", 0, 20),
    Setting("air_points", POINTS, "Air filling points", "Air can be filled at this many places, by one person"
            " each.", 1, "points", 0, 20),
    Setting("stuffing_points", POINTS, "Stuffing machines", "Latex can be stuffed at this many machines, by one"
            " person each.", 1, "points", 0, 20),
    Setting("finishing_minutes", WORK, "Finishing", "Each order takes this many minutes after its last fill, for"
            " weights, assembly and bagging.", TIMES.finishing_minutes, "min", 0, 600, source=COMMON),
    Setting("drying_minutes", WORK, "Drying", "Treated balloons dry for this many minutes before they are bagged.",
            TIMES.drying_minutes, "min", 0, 1440, source=MEMORY),
    Setting("idle_factor", BOARD, "Ask if still filling", "If nobody taps a batch that was started for this many"
            " times its own work, the board asks whether it is still being filled, and the plan counts the rest as"
            " not filled.", IDLE_FACTOR, "times", 0.5, 20, source=MEMORY),
    Setting("spares_percent", BOARD, "Spares", "This share of the latex in an order is laid out as spares, in"
            " percent, because some balloons burst.", 5.0, "%", 0, 100, source=MEMORY),
    Setting("tax_mode", PRICES, "Tax", "Your prices include tax, or tax is added to them; ask your tax adviser.",
            "none", high=20, choices=("none", "inclusive", "on top"),
            choice_labels=("No tax", "Included in prices", "Added to prices")),
    Setting("tax_percent", PRICES, "Tax rate", "New orders are taxed at this rate, in percent; saved orders keep"
            " their own rate.", 0.0, "%", 0, 100),
    Setting("deposit_percent", PRICES, "Deposit on orders", "The customer pays this share of the price when the"
            " order is saved, in percent.", 0.0, "%", 0, 100),
    Setting("cancellation_fee_percent", PRICES, "Cancellation fee", "When an order is cancelled, this share of its"
            " price is offered as the fee that the shop keeps, in percent.", 0.0, "%", 0, 100),
    Setting("delivery_minor", EXTRAS, "Delivery price", "The order form offers a delivery as an extra at this"
            " price.", 0, MONEY, 0, 100_000_000),
    Setting("set_up_minor", EXTRAS, "Set-up price", "The order form offers setting up at the venue as an extra at"
            " this price.", 0, MONEY, 0, 100_000_000),
    Setting("take_down_minor", EXTRAS, "Take-down price", "The order form offers a crew that fetches rentals and"
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
    Setting("treat_ml", COSTS, "Treatment used", "One 11 in latex takes this much treatment; other sizes follow by"
            " their surface.", 5.0, "mL", 0, 100, source=MEMORY),
    Setting("rental_uses", COSTS, "Uses of rentals", "A rental can go out this many times before it is worn out;"
            " each time costs its share of what the shop paid for it.", 20, "times", 1, 1000, source=MEMORY),
    Setting("venue_minor", EXTRAS, "Venue fee", "This is added to the price of an order that a crew fills at the"
            " venue.", 8000, MONEY, 0, 100_000_000),
    Setting("crew", VENUE, "Crew size", "This many people leave the bench to fill at a venue, with one helium"
            " filling point and its cylinders.", 2, "people", 1, 20, source=COMMON),
    Setting("venue_travel_minutes", VENUE, "Travel to the venue", "The crew drives this many minutes each way,"
            " unless the order says otherwise.", 30, "min", 1, 1440),
    Setting("crew_margin_minutes", VENUE, "Crew margin", "The crew leaves so many minutes earlier than it must, but"
            " never arrives before it can enter.", 0, "min", 0, 600),
    Setting("set_up_minutes", VENUE, "Set-up time", "The crew starts to fill this many minutes after it can enter"
            " the venue. Each set-up sold with a delivery takes as long.", 20, "min", 0, 600, source=COMMON),
    Setting("hanging_minutes", VENUE, "Hanging time", "Everything hangs this many minutes after the last fill at"
            " the venue.", 30, "min", 0, 1440, source=COMMON),
    Setting("take_down_minutes", VENUE, "Take-down time", "Everything is taken down and loaded this many minutes"
            " after the crew can enter the venue.", 30, "min", 1, 600, source=COMMON),
    Setting("delivery_weekday", ON_HAND, "Goods arrive on", "Ordered goods arrive on this weekday; the buying list"
            " covers the time until the delivery after next.", NO_DAY, high=20, choices=(NO_DAY, *WEEKDAYS)),
    Setting("delivery_lead_days", ON_HAND, "Order this early", "Goods must be ordered this many days before they"
            " arrive.", 2, "days", 0, 60),
    Setting("old_lot_months", ON_HAND, "Latex is old after", "After this many months in stock, latex is old: for"
            " water weights and practice, and for orders only if nothing else is there.", 12, "months", 1, 120,
            source=MEMORY),
    Setting("holding_area_room", ON_HAND, "Room in the holding area", "This many filled 11 in latex can wait, other"
            " sizes by their area; 0 means that it is not checked.", 0, "balloons", 0, 100_000),
    Setting("cylinder_residual_bar", ON_HAND, "Left in cylinders", "A cylinder goes back with this pressure left in"
            " it, in bar.", 2.0, "bar", 0, 50, source=COMMON),
    Setting("gas_tolerance_percent", ON_HAND, "Gas difference", "If the gauge and the balloons filled differ by"
            " more than this, in percent, a leak or a wrong gauge is reported.", 15.0, "%", 1, 100, source=MEMORY),
    *CRAFT_SETTINGS,
    Setting("locale", SHOWN, "Country", "The country whose dates, numbers and prices the pages follow.",
            LOCALES[0], high=10, choices=LOCALES, source="Unicode CLDR, by Babel"),
    Setting("currency_symbol", SHOWN, "Currency", "The symbol beside every amount.", "$", high=5),
    Setting("currency_code", SHOWN, "Currency code", "Other programs that ask for a quote read the currency by this"
            " code.", "USD", high=3, choices=CURRENCIES, source="ISO 4217"),
    Setting("currency_decimals", SHOWN, "Decimals of the currency",
            "Digits after the decimal mark. Set this first: saved amounts do not change with it.", 2, "digits", 0,
            3),
    Setting("clock", SHOWN, "Clock", "The clock on pages. A time can be typed either way. The history keeps the"
            " clock with which it was written.", "24 h", high=10, choices=("24 h", "12 h")),
    Setting("temperature", SHOWN, "Temperature",
            "The unit of all temperatures, on pages, in forms and in the history.", "°C", high=10,
            choices=("°C", "°F")),
    Setting("length", SHOWN, "Balloon sizes", "The unit of all sizes that are measured. The trade's names"
            " of balloon types stay.", "in", high=10, choices=("in", "cm")),
    Setting("measures", SHOWN, "Lengths, weights and wind",
            "The units of all lengths, weights and winds, also of stock that is counted by its length.",
            MEASURES[0], high=20, choices=MEASURES),
)
# fmt: on
