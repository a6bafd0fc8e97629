"""The shop's figures for what is put together, from its settings and its supplies."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from app.craft.arches import ArchDefaults
from app.craft.bagging import Bag, BagDefaults
from app.craft.bouquet import BouquetDefaults
from app.craft.clusters import ColumnDefaults
from app.craft.garland import GarlandDefaults
from app.craft.strung import StrungDefaults
from app.craft.stuffed import StuffingDefaults
from app.craft.water import WaterDefaults
from app.quoting.catalogue import Supply
from app.quoting.settings.garland_mix import read_mix


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


def bags_of(supplies: Iterable[Supply], float_defaults: CraftDefaults) -> BagDefaults:
    """Returns the defaults with the bags that the shop uses and whose width is known."""
    bags = [
        Bag(row.name, row.width_cm, row.width_cm * float_defaults.bag_length_share)
        for row in supplies
        if row.sort == "bag" and row.width_cm and row.archived_at is None
    ]
    return replace(float_defaults.bags, bags=tuple(bags))
