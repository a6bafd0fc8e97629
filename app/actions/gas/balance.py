"""What is left in each cylinder now: what its gauge showed last, less what was filled since.

Nobody records from which cylinder a balloon was filled. So each fill counts in equal shares for the cylinders that
were in use then. A fill for an order that cylinders went along with counts for those alone, and for none once they
are back, because their gauges were read then. What is more than a cylinder can have held counts for the others,
those in use first.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from app.actions.context import Context
from app.craft.gas import PressureReading, gas_litres, usable_litres
from app.craft.sizing import filled_litres
from app.physics.air import Air
from app.physics.balloon import BalloonType
from app.quoting.shop import Shop
from app.store.models import Cylinder
from app.store.queries.gas import IN_SHOP_STATES, CylinderRow, ToFillRow, cylinders
from app.store.queries.gas_filled import END_OF_TIME, GasFilledRow, filled_since


@dataclass(frozen=True, slots=True)
class CylinderNow:
    """gauge: as read last, or full if it was never read; then read_at is None. by_gauge: litres of gas at the
    shop's temperature and pressure, above the pressure that stays in the cylinder. filled: litres filled since."""

    row: Cylinder
    order_number: int | None
    gauge: PressureReading
    read_at: datetime | None
    by_gauge: float
    filled: float = 0.0

    @property
    def left(self) -> float:
        """Litres of gas that are left; at least 0."""
        return max(0.0, self.by_gauge - self.filled)


@dataclass(frozen=True, slots=True)
class FilledSince:
    """Litres of gas, as measured in the shop, that went into balloons from one reading of any cylinder to the next.
    order_id: of the order, if cylinders had gone along with it."""

    after: datetime
    order_id: int | None
    litres: float


def gas_now(context: Context) -> list[CylinderNow] | None:
    """Returns each cylinder that is full or in use, those in use first; None if no cylinder was ever entered."""
    rows = cylinders(context.session)
    if not rows:
        return None
    stock = [cylinder_by_gauge(row, context.shop) for row in rows if row.cylinder.state in IN_SHOP_STATES]
    since = [period.starts for row in rows for period in row.use_periods if period.ends is None]
    if not since:
        return stock
    given = _within(stock, litres_from_each(rows, fills_since(context, min(since))))
    return [replace(one, filled=given[one.row.id]) for one in stock]


def cylinder_by_gauge(row: CylinderRow, shop: Shop) -> CylinderNow:
    """Returns what the cylinder holds by its gauge alone."""
    cylinder, reading = row.cylinder, row.reading
    gauge = PressureReading(reading.bar, reading.celsius) if reading else PressureReading(cylinder.full_bar)
    litres = usable_litres(cylinder.water_l, gauge, shop.stock_defaults.residual_bar, shop.air)
    return CylinderNow(cylinder, row.order_number, gauge, reading.at if reading else None, litres)


def fills_since(context: Context, since: datetime, until: datetime = END_OF_TIME) -> list[FilledSince]:
    """Returns what was filled since, up to a moment. since: that of a reading that was not undone."""
    return [
        FilledSince(row.after, row.order_id, row.count * gas_of(row, context))
        for row in filled_since(context.session, since, until)
    ]


def gas_of(row: GasFilledRow | ToFillRow, context: Context) -> float:
    """Returns the litres of gas, as measured in the shop, that one balloon of that batch takes."""
    shop, air = context.shop, context.shop.air
    if row.at_venue:
        celsius = shop.indoors_celsius if row.celsius is None else row.celsius
        air = Air(celsius, shop.air.elevation_m if row.elevation_m is None else row.elevation_m)
    balloon_type = context.catalogue.balloon_types[row.balloon_type_id].balloon_type
    return gas_taken(balloon_type, filled_litres(balloon_type, row.fill_size_in, row.fill_share), air, shop)


def gas_taken(balloon_type: BalloonType, litres: float, air: Air, shop: Shop) -> float:
    """Returns the litres of gas, as measured in the shop, that one balloon takes when it is filled to so many
    litres in that air."""
    moved = shop.air.litres_per_reference_litre / air.litres_per_reference_litre
    return gas_litres(balloon_type, litres, air) * moved


def litres_from_each(rows: Iterable[CylinderRow], fills: Iterable[FilledSince]) -> Mapping[int, float]:
    """Returns the litres filled from each cylinder since it was read, by its id."""
    use_periods = [(row.cylinder.id, period) for row in rows for period in row.use_periods]
    filled: defaultdict[int, float] = defaultdict(float)
    for fill in fills:
        sources = [
            (cylinder_id, period)
            for cylinder_id, period in use_periods
            if period.order_id == fill.order_id and period.covers(fill.after)
        ]
        for cylinder_id, period in sources:
            if period.ends is None:
                filled[cylinder_id] += fill.litres / len(sources)
    return filled


def _within(stock: Sequence[CylinderNow], filled: Mapping[int, float]) -> dict[int, float]:
    """Returns the litres filled from each cylinder, by its id, so that none gives more than it held; the others at
    the shop give the rest, as long as they can."""
    over = sum(max(0.0, filled[one.row.id] - one.by_gauge) for one in stock)
    given = {one.row.id: min(filled[one.row.id], one.by_gauge) for one in stock}
    for one in stock:
        if one.row.order_id is None:
            more = min(over, one.by_gauge - given[one.row.id])
            given[one.row.id] += more
            over -= more
    return given
