"""What the order form offers to choose from."""

from collections.abc import Container
from datetime import date

from wtforms import SelectChoice

from app.actions.catalogue.seasons import describe_seasons, in_season
from app.physics.balloon import Gas
from app.physics.light import Surroundings
from app.quoting.catalogue import BalloonOffer, Catalogue, Design
from app.quoting.costs import current_design_price
from app.quoting.parts import describe_design
from app.quoting.request import HandOver, Occasion
from app.quoting.shop import Shop
from app.quoting.states import FilledFate
from app.store.models import OrderLine
from app.web.formats import Formats
from app.web.wording.materials import MATERIAL_WORDS

OCCASIONS = [
    SelectChoice(Occasion.EVENT.value, "Event"),
    SelectChoice(Occasion.UNTIL.value, "Until a set time"),
    SelectChoice(Occasion.NOW.value, "To take away now"),
]
PLACES = [
    SelectChoice(Surroundings.INDOORS.value, "Indoors"),
    SelectChoice(Surroundings.SHADE.value, "Outdoors, shade"),
    SelectChoice(Surroundings.SUN.value, "Outdoors, sun"),
]
HAND_OVERS = [
    SelectChoice(HandOver.COLLECT.value, "Collection"),
    SelectChoice(HandOver.DELIVER.value, "Delivery"),
    SelectChoice(HandOver.VENUE.value, "Filled at the venue"),
]
FATES = [
    SelectChoice(FilledFate.SPARES.value, "Keep as spares"),
    SelectChoice(FilledFate.STOCK.value, "Empty and put back in stock"),
    SelectChoice(FilledFate.LOST.value, "Count as lost"),
]
HAND_OVER_TIMES = {
    HandOver.COLLECT: "Collection time",
    HandOver.DELIVER: "Delivery time",
    HandOver.VENUE: "Crew can enter from",
}
"""What the time of the hand-over is called."""
GASES = [SelectChoice(gas.value, gas.value) for gas in Gas]
OUT_OF_SEASON = "Out of season"
ARCHIVED = "archived"
"""What stands in place of a price."""


def goods_choices(
    catalogue: Catalogue, shop: Shop, formats: Formats, day: date, has: Container[str]
) -> list[SelectChoice]:
    """Returns the choices of a line: designs of that day's season first, then other designs, then balloon types by
    material, and last the designs that are out of season.

    has: values that are offered though archived.
    """
    designs = [row for row in catalogue.designs.values() if row.archived_at is None or f"design:{row.id}" in has]
    sold = [row for row in designs if in_season(row.seasons, day)]
    sold.sort(key=lambda row: not row.seasons)
    balloon_types = [
        SelectChoice(
            f"balloon_type:{balloon_type.id}", _balloon_type_label(balloon_type, formats), optgroup=words.heading
        )
        for material, words in MATERIAL_WORDS.items()
        for balloon_type in catalogue.balloon_types.values()
        if balloon_type.material is material
        and (balloon_type.archived_at is None or f"balloon_type:{balloon_type.id}" in has)
    ]
    return [
        SelectChoice("", "Choose …"),
        *(_design_choice(row, catalogue, shop, formats, "Designs") for row in sold),
        *balloon_types,
        *(_design_choice(row, catalogue, shop, formats, OUT_OF_SEASON) for row in designs if row not in sold),
    ]


def choice_of_line(line: OrderLine) -> str:
    """Returns the line's value among these choices."""
    return f"balloon_type:{line.balloon_type_id}" if line.balloon_type_id else f"design:{line.design_id}"


def _design_choice(row: Design, catalogue: Catalogue, shop: Shop, formats: Formats, group: str) -> SelectChoice:
    """Returns a design as a choice."""
    price = ARCHIVED if row.archived_at else formats.money(current_design_price(row, catalogue, shop))
    season = f" · {describe_seasons(row.seasons)}" if group == OUT_OF_SEASON else ""
    return SelectChoice(
        f"design:{row.id}", f"{row.name} · {price}{season} · {describe_design(row, catalogue)}", optgroup=group
    )


def _balloon_type_label(balloon_type: BalloonOffer, formats: Formats) -> str:
    """Returns the label of a balloon type."""
    price = ARCHIVED if balloon_type.archived_at else formats.money(balloon_type.price_minor)
    return f"{balloon_type.name} · {price}{' · air only' if balloon_type.air_only else ''}"
