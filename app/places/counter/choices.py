"""What the order form offers to choose from."""

from collections.abc import Container
from typing import Any

from wtforms import Form, SelectChoice
from wtforms.validators import ValidationError

from app.actions.parts import design_note
from app.actions.shop import Goods
from app.actions.wish import HandOver, Occasion
from app.physics.balloon import Gas
from app.physics.endurance import Surroundings
from app.store.models import Design, KindRow, OrderLine
from app.web.formats import Formats

OCCASIONS = [
    SelectChoice(Occasion.EVENT.value, "Event"),
    SelectChoice(Occasion.UNTIL.value, "Must last until"),
    SelectChoice(Occasion.NOW.value, "At once"),
]
PLACES = [
    SelectChoice(Surroundings.INDOORS.value, "Indoors"),
    SelectChoice(Surroundings.SHADE.value, "Shade"),
    SelectChoice(Surroundings.SUN.value, "Sun"),
]
HAND_OVERS = [
    SelectChoice(HandOver.COLLECT.value, "Collected"),
    SelectChoice(HandOver.DELIVER.value, "Delivered"),
    SelectChoice(HandOver.VENUE.value, "Filled there"),
]
GASES = [SelectChoice(gas.value, gas.value) for gas in Gas]
GROUPS = (("latex", "Latex"), ("foil", "Foil"), ("sphere", "Spheres"))


def one_of(_form: Form, field: Any) -> None:
    if field.data not in {choice.value for choice in field.choices}:
        raise ValidationError(f"One of these, please: {', '.join(choice.label for choice in field.choices)}.")


def goods_choices(goods: Goods, formats: Formats, has: Container[str]) -> list[SelectChoice]:
    """The list to choose from: designs first, then kinds by material. has: values to offer though retired."""
    designs = [
        SelectChoice(f"design:{design.id}", _design_label(design, goods, formats), optgroup="Designs")
        for design in goods.designs.values()
        if design.retired_at is None or f"design:{design.id}" in has
    ]
    kinds = [
        SelectChoice(f"kind:{kind.id}", _kind_label(kind, formats), optgroup=group)
        for material, group in GROUPS
        for kind in goods.kinds.values()
        if kind.material == material and (kind.retired_at is None or f"kind:{kind.id}" in has)
    ]
    return [SelectChoice("", "choose …"), *designs, *kinds]


def what_of(line: OrderLine) -> str:
    """A line's value in that list."""
    return f"kind:{line.kind_id}" if line.kind_id else f"design:{line.design_id}"


def _design_label(design: Design, goods: Goods, formats: Formats) -> str:
    price = "no longer sold" if design.retired_at else formats.money(design.price_minor)
    return f"{design.name} · {price} · {design_note(design, goods)}"


def _kind_label(kind: KindRow, formats: Formats) -> str:
    price = "no longer sold" if kind.retired_at else formats.money(kind.price_minor)
    return f"{kind.name} · {price}{' · air only' if kind.air_only else ''}"
