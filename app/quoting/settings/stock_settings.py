"""The settings of stock: deliveries, old lots, the holding area, cylinders."""

from app.quoting.settings.setting import COMMON, MEMORY, Setting
from app.quoting.stock_defaults import NO_DAY, WEEKDAYS

ON_HAND = "What is on hand"

# fmt: off
STOCK_SETTINGS: tuple[Setting, ...] = (
    Setting("delivery_weekday", ON_HAND, "Goods come on", "The buying list reckons up to the delivery after next.",
            NO_DAY, high=20, choices=(NO_DAY, *WEEKDAYS)),
    Setting("delivery_lead_days", ON_HAND, "Ordered before", "So many days before they come.", 2, "days", 0, 60),
    Setting("old_lot_months", ON_HAND, "Old after", "Latex that lies longer is better set aside for water weights"
            " and practice.", 12, "months", 1, 120, source=MEMORY),
    Setting("holding_area_room", ON_HAND, "Room of the corral",
            "Filled 11-inch balloons that may wait there, others by the square of their size; 0: nobody said.",
            0, "balloons", 0, 100_000),
    Setting("cylinder_rest_bar", ON_HAND, "Left in a cylinder", "It goes back with so much on the gauge.", 2.0,
            "bar", 0, 50, source=COMMON),
    Setting("gas_tolerance_percent", ON_HAND, "Gauge against filled", "A difference above it is told: a leak, or"
            " a wrong gauge.", 15.0, "%", 1, 100, source=MEMORY),
)
# fmt: on
