"""The shop's figures for what is put together, from its settings and its supplies."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from app.craft.arches import ArchHabits
from app.craft.bagging import Bag, BagHabits
from app.craft.bouquet import BouquetHabits
from app.craft.clusters import ColumnHabits
from app.craft.garland import GarlandHabits
from app.craft.strung import StrungHabits
from app.craft.stuffed import StuffingHabits
from app.craft.water import WaterHabits
from app.quoting.build_sheets.mix import read_mix
from app.store.models import Supply


@dataclass(frozen=True, slots=True)
class CraftHabits:
    """bags: without any; which there are, the supplies say. bag_length_share: of a bag's flat width."""

    bouquets: BouquetHabits
    columns: ColumnHabits
    arches: ArchHabits
    garlands: GarlandHabits
    strung: StrungHabits
    water: WaterHabits
    stuffing: StuffingHabits
    bags: BagHabits
    bag_length_share: float


def craft_habits_of(values: Mapping[str, float | int | str]) -> CraftHabits:
    def number(key: str) -> float:
        return float(values[key])

    return CraftHabits(
        bouquets=BouquetHabits(
            number("knot_below_cm"),
            number("ribbon_end_cm"),
            number("string_gap_cm"),
            number("ribbon_g_per_m"),
            number("weight_factor"),
        ),
        columns=ColumnHabits(number("column_tolerance_cm") / 100),
        arches=ArchHabits(number("squeeze_percent") / 100),
        garlands=GarlandHabits(
            number("garland_light"),
            number("garland_medium"),
            number("garland_full"),
            read_mix(str(values["garland_mix"])),
        ),
        strung=StrungHabits(number("strung_spacing_m"), number("strung_line_g_m"), number("strung_tie_g")),
        water=WaterHabits(number("water_most_percent") / 100, number("water_step_in")),
        stuffing=StuffingHabits(number("stuffing_largest_in"), number("stuffing_at_nominal_in")),
        bags=BagHabits((), number("bag_closing_cm"), int(values["bag_most_layers"])),
        bag_length_share=number("bag_length_percent") / 100,
    )


def bags_of(supplies: Iterable[Supply], habits: CraftHabits) -> BagHabits:
    """With the bags that the shop uses and whose width it told."""
    bags = [
        Bag(row.name, row.width_cm, row.width_cm * habits.bag_length_share)
        for row in supplies
        if row.sort == "bag" and row.width_cm and row.retired_at is None
    ]
    return replace(habits.bags, bags=tuple(bags))
