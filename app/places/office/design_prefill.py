"""The form of a design as it is first shown, with more rows, and with numbers that were taken up."""

from collections.abc import Collection, Iterable
from typing import Any

from wtforms import SelectChoice

from app.actions.catalogue.seasons import day_words
from app.actions.records.shop import Goods, Shop
from app.craft.build import Form as BuildForm
from app.craft.colours import ColoursUnclear, share_out
from app.physics.balloon import Gas
from app.places.office.design_advice import Advice, Asked, Option, PartSoFar, advise
from app.places.office.design_form import DesignForm
from app.store.models import Design, DesignPart, KindRow, Supply
from app.web.formats import Formats
from app.web.forms import read_id

MORE_ROWS = 2
UNITS = {"piece": "", "metre": ", metres", "millilitre": ", mL"}


def design_form_of(row: Design, formats: Formats) -> DesignForm:
    """The design as it is kept, ready to be changed, with a row to spare in each list."""
    figures = {key: value for key, value in row.build.items() if key != "form"}
    form = DesignForm(
        data={
            "name": row.name,
            "pricing": "computed" if row.computed else "set",
            "price_minor": "" if row.computed else formats.amount(row.price_minor),
            "assembly_minutes": f"{row.assembly_minutes:g}",
            "steps": "\n".join(row.steps),
            "seasons": [{"first": day_words(first), "last": day_words(last)} for first, last in row.seasons],
            "parts": [_part(part) for part in row.parts],
            "supplies": [{"supply": str(one.supply_id), "of_one": f"{one.quantity:g}"} for one in row.supplies],
            "build": row.build.get("form", BuildForm.LOOSE.value),
            "figures": {key: value if isinstance(value, str) else f"{value:g}" for key, value in figures.items()},
        }
    )
    for name in ("parts", "supplies"):
        if not any(line.form.is_blank for line in form[name]):
            add_rows(form, name, 1)
    return form


def _part(part: DesignPart) -> dict[str, str]:
    return {
        "kind": str(part.kind_id),
        "quantity": str(part.quantity),
        "gas": part.gas,
        "colours": colours_text(part.colours),
    }


def colours_text(colours: Collection[tuple[str, int]]) -> str:
    """As it is typed; without numbers where they are shared out evenly, so that the number may change."""
    names = ", ".join(name for name, _ in colours)
    try:
        evenly = bool(colours) and share_out(names, sum(count for _, count in colours), figures=True)
    except ColoursUnclear:
        evenly = False
    if evenly == dict(colours):
        return names
    return ", ".join(f"{count} {name}" for name, count in colours)


def add_rows(form: DesignForm, name: str, more: int = MORE_ROWS) -> None:
    rows = form[name]
    for _ in range(min(more, rows.max_entries - len(rows))):
        rows.append_entry()


def offer_goods(form: DesignForm, goods: Goods, row: Design | None) -> None:
    """What the shop has, and what this design has already though retired meanwhile."""
    kinds = {part.kind_id for part in row.parts} if row else set()
    supplies = {one.supply_id for one in row.supplies} if row else set()
    for part in form.parts:
        part.form.kind.choices = _choices(goods.kinds.values(), kinds, _kind_label)
    for one in form.supplies:
        one.form.supply.choices = _choices(goods.supplies.values(), supplies, _supply_label)
    for figure in form.asked:
        if figure.choices:
            form.figures.form[figure.key].choices = [SelectChoice(choice, choice) for choice in figure.choices]


def _choices(rows: Iterable[Any], kept: Collection[int], label: Any) -> list[SelectChoice]:
    offered = [row for row in rows if row.retired_at is None or row.id in kept]
    return [SelectChoice("", "–"), *(SelectChoice(str(row.id), label(row)) for row in offered)]


def _kind_label(row: KindRow) -> str:
    return f"{row.name}{', air only' if row.air_only else ''}{', retired' if row.retired_at else ''}"


def _supply_label(row: Supply) -> str:
    return f"{row.name}{UNITS[row.unit]}{', retired' if row.retired_at else ''}"


def advice_for(form: DesignForm, goods: Goods, shop: Shop, formats: Formats) -> Advice:
    """Of what is typed so far; leaves the form as it is."""
    so_far = DesignForm(data=form.data)
    build = so_far.read_build()
    if build is None:
        return Advice(facts=("With its figures filled in, what it takes stands here.",))
    parts = [
        PartSoFar(row, Gas.AIR if part.form.is_air else Gas.HELIUM, min(read_id(part.form.quantity.data), 1000))
        for part in so_far.parts
        if (row := goods.kinds.get(part.form.kind_id))
    ]
    return advise(Asked(build, parts, _weight_g(so_far, goods), goods, shop, formats))


def _weight_g(form: DesignForm, goods: Goods) -> float | None:
    figures = [one.form.read() for one in form.supplies if not one.form.is_blank]
    weights = [
        of_one * row.grams
        for supply_id, of_one in filter(None, figures)
        if (row := goods.supplies.get(supply_id)) and row.sort == "weight" and row.grams
    ]
    return sum(weights) if weights else None


def write_numbers(form: DesignForm, option: Option) -> None:
    """Into the first part of each kind, or a row of its own where there is none."""
    for kind_id, count in option.numbers.items():
        part = _row_for(form, kind_id, option.gas)
        if part is not None:
            part.kind.data, part.gas.data, part.quantity.data = str(kind_id), option.gas.value, str(count)


def _row_for(form: DesignForm, kind_id: int, gas: Gas) -> Any:
    rows = [line.form for line in form.parts]
    known = [part for part in rows if part.kind_id == kind_id and part.gas.data == gas]
    if not known and not any(part.is_blank for part in rows):
        add_rows(form, "parts")
        rows = [line.form for line in form.parts]
    return next(iter([*known, *(part for part in rows if part.is_blank)]), None)
