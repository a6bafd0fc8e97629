"""The shop's figures for building pieces and for stock, from its settings."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace

from app.craft.arches import ArchDefaults
from app.craft.bagging import Bag, BagDefaults
from app.craft.bouquet import BouquetDefaults
from app.craft.clusters import ColumnDefaults
from app.craft.garland import GarlandDefaults
from app.craft.strung import StrungDefaults
from app.craft.stuffed import StuffingDefaults
from app.craft.weights import WaterDefaults
from app.physics.balloon import ribbon_load_g
from app.quoting.catalogue import Supply
from app.quoting.settings.setting import WEEKDAYS, read_mix


@dataclass(frozen=True, slots=True)
class CraftDefaults:
    """bags: the defaults with no bags in them, since the supplies say which there are. bag_length_share: of a bag's
    flat width."""

    bouquets: BouquetDefaults
    columns: ColumnDefaults
    arches: ArchDefaults
    garlands: GarlandDefaults
    strung: StrungDefaults
    water: WaterDefaults
    stuffing: StuffingDefaults
    bags: BagDefaults
    bag_length_share: float


def craft_defaults_of(values: Mapping[str, float | int | str]) -> CraftDefaults:
    """Returns the figures from the settings, by key."""

    def number(key: str) -> float:
        return float(values[key])

    return CraftDefaults(
        bouquets=BouquetDefaults(
            number("knot_below_cm"),
            number("ribbon_end_cm"),
            number("string_gap_cm"),
            number("ribbon_g_per_m"),
            number("weight_factor"),
        ),
        columns=ColumnDefaults(number("column_tolerance_cm") / 100),
        arches=ArchDefaults(number("squeeze_percent") / 100),
        garlands=GarlandDefaults(
            number("garland_light"),
            number("garland_medium"),
            number("garland_full"),
            read_mix(str(values["garland_mix"])),
        ),
        strung=StrungDefaults(number("strung_spacing_m"), number("strung_line_g_m"), number("strung_tie_g")),
        water=WaterDefaults(number("water_most_percent") / 100, number("water_step_in")),
        stuffing=StuffingDefaults(number("stuffing_largest_in"), number("stuffing_at_nominal_in")),
        bags=BagDefaults((), number("bag_closing_cm"), int(values["bag_most_layers"])),
        bag_length_share=number("bag_length_percent") / 100,
    )


def bags_of(supplies: Iterable[Supply], craft: CraftDefaults) -> BagDefaults:
    """Returns the defaults with the bags that the shop uses and whose width is known."""
    bags = [
        Bag(row.name, row.width_cm, row.width_cm * craft.bag_length_share)
        for row in supplies
        if row.sort == "bag" and row.width_cm and row.archived_at is None
    ]
    return replace(craft.bags, bags=tuple(bags))


@dataclass(frozen=True, slots=True)
class LoadDefaults:
    """The shop's figures for what hangs on a helium balloon. Each is a setting.

    tag_g: grams of its tag. ribbon_m: metres of ribbon on a loose balloon. ribbon_g_per_m: grams of one metre.
    up_height_m: metres above its knot from which a balloon counts as up.
    """

    tag_g: float
    ribbon_m: float
    ribbon_g_per_m: float
    up_height_m: float

    @property
    def loose_g(self) -> float:
        """The load of a loose balloon in grams."""
        return self.on_ribbon_g(self.ribbon_m)

    def on_ribbon_g(self, ribbon_m: float) -> float:
        """Returns the load in grams of a balloon on so many metres of ribbon: its tag, and its ribbon up to the
        height from which it counts as up."""
        return self.tag_g + ribbon_load_g(ribbon_m, self.ribbon_g_per_m, self.up_height_m)


def load_defaults_of(values: Mapping[str, float | int | str]) -> LoadDefaults:
    """Returns the figures from the settings, by key."""
    return LoadDefaults(**{field.name: float(values[field.name]) for field in fields(LoadDefaults)})


@dataclass(frozen=True, slots=True)
class StockDefaults:
    """delivery_weekday: 0 is Monday; None if goods come on no fixed day. lead_days: from ordering to delivery.
    holding_area_room: 11-inch balloons that may wait, 0 if nobody entered it. residual_bar: left in a cylinder,
    above the air. gas_tolerance: share by which what the gauges show may differ from what was filled."""

    delivery_weekday: int | None
    lead_days: int
    old_lot_months: int
    holding_area_room: int
    residual_bar: float
    gas_tolerance: float


def stock_defaults_of(values: Mapping[str, float | int | str]) -> StockDefaults:
    """Returns the figures from the settings, by key."""
    day = str(values["delivery_weekday"])
    return StockDefaults(
        delivery_weekday=WEEKDAYS.index(day) if day in WEEKDAYS else None,
        lead_days=int(values["delivery_lead_days"]),
        old_lot_months=int(values["old_lot_months"]),
        holding_area_room=int(values["holding_area_room"]),
        residual_bar=float(values["cylinder_residual_bar"]),
        gas_tolerance=float(values["gas_tolerance_percent"]) / 100,
    )
