"""The settings of what is put together: bouquets, fours, garlands, strung arches, stuffing, weights and bags."""

from app.craft.arches import ArchDefaults
from app.craft.bagging import BagDefaults
from app.craft.bouquet import BouquetDefaults
from app.craft.clusters import ColumnDefaults
from app.craft.garland import GarlandDefaults
from app.craft.strung import StrungDefaults
from app.craft.stuffed import StuffingDefaults
from app.craft.water import WaterDefaults
from app.quoting.settings.garland_mix import write_mix
from app.quoting.settings.setting import COMMON, MEMORY, Setting

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
# fmt: on
