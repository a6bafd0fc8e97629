"""The form of a design as it is first shown, with more rows, and with numbers that were chosen."""

from collections.abc import Collection, Iterable
from typing import Any

from wtforms import SelectChoice

from app.actions.catalogue.seasons import describe_day
from app.craft.build import Construction
from app.craft.colours import ColoursUnclear, read_colours
from app.physics.balloon import Gas
from app.places.office.design_advice import AdviceInput, DesignAdvice, NumbersOption, TypedPart, advise
from app.places.office.design_form import DesignForm
from app.quoting.catalogue import Catalogue, Design, Part
from app.quoting.shop import Shop
from app.quoting.states import SupplySort
from app.store.models import BalloonTypeRow, DesignRow, SupplyRow
from app.web.formats import Formats
from app.web.forms import read_id
from app.web.requests import request_context
from app.web.wording.stock import name_of_one

MORE_ROWS = 2


def design_form_of(row: Design, formats: Formats) -> DesignForm:
    """Returns the form of a saved design, ready to be changed, with an empty row in each list."""
    figures = {key: value for key, value in row.build.items() if key != "form"}
    typed = formats.typed_number
    form = DesignForm(
        data={
            "name": row.name,
            "pricing": "computed" if row.computed else "set",
            "price_minor": "" if row.computed else formats.amount(row.price_minor),
            "assembly_minutes": typed(row.assembly_minutes),
            "steps": "\n".join(row.steps),
            "seasons": [{"first": describe_day(first), "last": describe_day(last)} for first, last in row.seasons],
            "parts": [_part(part) for part in row.parts],
            "supplies": [
                {"supply": str(one.supply_id), "quantity_per_piece": one.quantity} for one in row.supplies
            ],
            "build": row.build.get("form", Construction.LOOSE.value),
            "figures": figures,
        }
    )
    for name in ("parts", "supplies"):
        if not any(line.form.is_blank for line in form[name]):
            add_rows(form, name, 1)
    return form


def _part(part: Part) -> dict[str, str | float | None]:
    """Returns what fills in the form of a part."""
    return {
        "balloon_type": str(part.balloon_type_id),
        "quantity": str(part.quantity),
        "gas": part.gas,
        "colours": colours_text(part.colours),
        "hung_g": part.hung_g or None,
    }


def colours_text(colours: Collection[tuple[str, int]]) -> str:
    """Returns the colours as they are typed; without numbers if they are shared out evenly, so that the quantity
    may change."""
    names = ", ".join(name for name, _ in colours)
    try:
        evenly = bool(colours) and read_colours(names, sum(count for _, count in colours), figures=True)
    except ColoursUnclear:
        evenly = False
    if evenly == dict(colours):
        return names
    return ", ".join(f"{count} {name}" for name, count in colours)


def add_rows(form: DesignForm, name: str, more: int = MORE_ROWS) -> None:
    """Adds empty rows to the list of this name."""
    rows = form[name]
    for _ in range(min(more, rows.max_entries - len(rows))):
        rows.append_entry()


def offer_goods(form: DesignForm, catalogue: Catalogue, row: DesignRow | None) -> None:
    """Sets the choices: what the shop has, and what this design has already though it was archived meanwhile."""
    balloon_types = {part.balloon_type_id for part in row.parts} if row else set()
    supplies = {one.supply_id for one in row.supplies} if row else set()
    for part in form.parts:
        part.form.balloon_type.choices = _choices(
            catalogue.balloon_types.values(), balloon_types, _balloon_type_label
        )
    for one in form.supplies:
        one.form.supply.choices = _choices(catalogue.supplies.values(), supplies, _supply_label)


def _choices(rows: Iterable[Any], saved: Collection[int], label: Any) -> list[SelectChoice]:
    """Returns the rows as choices. saved: ids that stay among them though archived."""
    offered = [row for row in rows if row.archived_at is None or row.id in saved]
    return [SelectChoice("", "–"), *(SelectChoice(str(row.id), label(row)) for row in offered)]


def _balloon_type_label(row: BalloonTypeRow) -> str:
    """Returns the label of a balloon type."""
    return f"{row.name}{', air only' if row.air_only else ''}{', archived' if row.archived_at else ''}"


def _supply_label(row: SupplyRow) -> str:
    """Returns the label of a supply."""
    one = name_of_one(row.unit, request_context().formats)
    counted = {"": "", "metre": ", in metres", "foot": ", in feet"}.get(one, f", in {one}")
    return f"{row.name}{counted}{', archived' if row.archived_at else ''}"


def advice_for(form: DesignForm, catalogue: Catalogue, shop: Shop, formats: Formats) -> DesignAdvice:
    """Returns the advice on what is typed so far; leaves the form as it is."""
    so_far = DesignForm(data=form.data)
    so_far.validate()
    build = so_far.construction()
    if build is None:
        return DesignAdvice(facts=("Fill in the measures under “How it is built” to see what it needs.",))
    parts = [
        TypedPart(row, Gas.AIR if part.form.is_air else Gas.HELIUM, min(read_id(part.form.quantity.data), 1000))
        for part in so_far.parts
        if (row := catalogue.balloon_types.get(part.form.balloon_type_id))
    ]
    return advise(AdviceInput(build, parts, _weight_g(so_far, catalogue), catalogue, shop, formats))


def _weight_g(form: DesignForm, catalogue: Catalogue) -> float | None:
    """Returns the grams of the weights among its supplies; None if there are none."""
    figures = [one.form.supplied() for one in form.supplies if not one.form.is_blank]
    weights = [
        quantity_per_piece * row.grams
        for supply_id, quantity_per_piece in filter(None, figures)
        if (row := catalogue.supplies.get(supply_id)) and row.sort == SupplySort.WEIGHT and row.grams
    ]
    return sum(weights) if weights else None


def write_numbers(form: DesignForm, option: NumbersOption) -> None:
    """Writes the numbers into the first part of each balloon type, or into a new row if it has none."""
    for balloon_type_id, count in option.numbers.items():
        part = _row_for(form, balloon_type_id, option.gas)
        if part is not None:
            part.balloon_type.data, part.gas.data, part.quantity.data = (
                str(balloon_type_id),
                option.gas.value,
                str(count),
            )


def _row_for(form: DesignForm, balloon_type_id: int, gas: Gas) -> Any:
    """Returns the row for the balloon type."""
    rows = [line.form for line in form.parts]
    known = [part for part in rows if part.balloon_type_id == balloon_type_id and part.gas.data == gas]
    if not known and not any(part.is_blank for part in rows):
        add_rows(form, "parts")
        rows = [line.form for line in form.parts]
    return next(iter([*known, *(part for part in rows if part.is_blank)]), None)
