"""Office: cylinders, what is left in them, on which day it runs out, and what was used against what was filled."""

from collections.abc import Iterator
from dataclasses import dataclass

from flask import Blueprint, render_template
from flask.wrappers import Response

from app.actions.gas.outlook import GasOutlook, gas_outlook
from app.actions.gas.reconciliation import ComparedPeriod, GasFinding, compare_used_with_filled
from app.craft.gas import fills_left, gas_litres
from app.places.office import cylinders
from app.quoting.states import CylinderState
from app.store.models import BalloonTypeRow
from app.store.queries.gas import IN_SHOP_STATES, all_cylinders, helium_balloon_types, readings
from app.web.requests import request_context
from app.web.tables import csv_response
from app.web.wording.gas import (
    FINDINGS,
    NONE_IN_USE,
    STATE_WORDS,
    describe_outlook,
    describe_unread,
    litres,
    show_cylinder,
)

CSV_HEAD = (
    *("cylinder", "water volume (L)", "pressure (bar)", "temperature (°C)"),
    *("read at", "read by", "undone at", "undone by"),
)


@dataclass(frozen=True, slots=True)
class ShownStretch:
    """A period in words. finding: what it shows, for programs. words: the same in a sentence. is_off: whether
    somebody must check."""

    finding: str
    starts: str
    ends: str
    names: str
    used: str
    filled: str
    words: str
    is_off: bool


def register(office: Blueprint) -> None:
    """Registers the pages of the gas."""
    office.get("/gas")(gas)
    office.get("/gas.csv")(gas_csv)
    cylinders.register(office)


def gas() -> str:
    """Shows the gas."""
    here = request_context()
    outlook = gas_outlook(here.context)
    stock = outlook.stock if outlook else ()
    left = sum(one.left for one in stock)
    known = all_cylinders(here.session) if outlook else []
    return render_template(
        "office/gas.html",
        cylinders=[show_cylinder(one, here.shop, here.formats) for one in stock],
        others=[row for row in known if row.state not in IN_SHOP_STATES],
        total=litres(left, here.formats),
        none_in_use=NONE_IN_USE
        if stock and not any(one.row.state == CylinderState.IN_USE for one in stock)
        else "",
        outlook=outlook,
        cylinder_states=STATE_WORDS,
        outlook_said=describe_outlook(outlook, here.formats) if outlook else "",
        days=_days(outlook),
        fills=_fills(outlook.spare) if outlook and stock else (),
        periods=[_show(one) for one in compare_used_with_filled(here.context, known)],
    )


def gas_csv() -> Response:
    """Returns the readings as a table."""
    return csv_response("cylinder-readings.csv", CSV_HEAD, _cells())


def _days(outlook: GasOutlook | None) -> list[tuple[str, str, str, bool]]:
    """Returns the days with helium to fill: the day, the litres needed, those left after it, and whether that is
    too little."""
    here = request_context()
    return [
        (
            here.formats.day(one.day),
            litres(one.litres, here.formats),
            litres(abs(one.left), here.formats),
            one.left < 0,
        )
        for one in (outlook.days if outlook else ())
    ]


def _fills(left: float) -> list[tuple[str, str, str]]:
    """Returns for each balloon type that takes helium its name, the litres of gas in one, and how many the gas left
    would fill."""
    return [_fills_of(row, left) for row in helium_balloon_types(request_context().session)]


def _fills_of(row: BalloonTypeRow, left: float) -> tuple[str, str, str]:
    """Returns for one balloon type its name, the litres of gas in one, and how many the gas left would fill."""
    here, balloon_type = request_context(), row.balloon_type
    each = gas_litres(balloon_type, balloon_type.full_litres, here.shop.air)
    count = fills_left(left, balloon_type, here.shop.air)
    return row.name, f"{here.formats.number(each, 1)} L", here.formats.number(count)


def _show(one: ComparedPeriod) -> ShownStretch:
    """Returns the period in words."""
    here = request_context()
    found = one.finding(here.shop.stock_defaults.gas_tolerance)
    return ShownStretch(
        found,
        here.formats.moment(one.starts),
        here.formats.moment(one.ends),
        ", ".join(one.names),
        litres(one.used, here.formats),
        litres(one.filled, here.formats),
        describe_unread(one.unread) if found is GasFinding.INCOMPLETE else FINDINGS[found],
        found in (GasFinding.MORE_USED, GasFinding.LESS_USED),
    )


def _cells() -> Iterator[tuple[object, ...]]:
    """Yields a row for each reading, including those that were undone."""
    here = request_context()
    known = {row.id: row for row in all_cylinders(here.session)}
    for one in readings(here.session):
        row = known[one.cylinder_id]
        undone = here.formats.local(one.undone_at).isoformat() if one.undone_at else ""
        yield (
            *(row.name, f"{row.water_l:g}", f"{one.bar:.1f}", f"{one.celsius:g}"),
            *(here.formats.local(one.at).isoformat(), one.who, undone, one.undone_by or ""),
        )
