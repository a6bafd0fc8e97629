"""The shop's figures for stock, from its settings."""

from collections.abc import Mapping
from dataclasses import dataclass

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
NO_DAY = "no fixed day"


@dataclass(frozen=True, slots=True)
class StockDefaults:
    """delivery_weekday: 0 is Monday; None if goods come on no fixed day. lead_days: from ordering to delivery.
    holding_area_room: 11-inch balloons that may wait, 0 if nobody entered it. rest_bar: left in a cylinder, above
    the air. gas_tolerance: share by which what the gauges show may differ from what was filled."""

    delivery_weekday: int | None
    lead_days: int
    old_lot_months: int
    holding_area_room: int
    rest_bar: float
    gas_tolerance: float


def stock_defaults_of(values: Mapping[str, float | int | str]) -> StockDefaults:
    """Returns the figures from the settings, by key."""
    day = str(values["delivery_weekday"])
    return StockDefaults(
        delivery_weekday=WEEKDAYS.index(day) if day in WEEKDAYS else None,
        lead_days=int(values["delivery_lead_days"]),
        old_lot_months=int(values["old_lot_months"]),
        holding_area_room=int(values["holding_area_room"]),
        rest_bar=float(values["cylinder_rest_bar"]),
        gas_tolerance=float(values["gas_tolerance_percent"]) / 100,
    )
