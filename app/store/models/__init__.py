"""This package has all tables; importing it makes them known to the metadata."""

from app.store.models.bench import BenchPlan, PlannedStart
from app.store.models.catalogue import BalloonTypeRow, DesignPartRow, DesignRow, DesignSupplyRow, SupplyRow
from app.store.models.customers import Customer, CustomerHistory, CustomerPhone
from app.store.models.gas import Cylinder, CylinderReading
from app.store.models.money import OrderExtra, Payment
from app.store.models.orders import HistoryEntry, Order, OrderBatch, OrderLine, Tap
from app.store.models.photos import Photo, PhotoImage
from app.store.models.rentals import Rental, RentalReturn
from app.store.models.shop import (
    ClosedDaysRow,
    Counter,
    DayShift,
    OfficeChange,
    OpeningException,
    OpeningWeekday,
    OwnColour,
    SettingRow,
    StaffMember,
    WeekdayShift,
)
from app.store.models.stock import Delivery, Lot, StockMove

__all__ = [
    "BalloonTypeRow",
    "BenchPlan",
    "ClosedDaysRow",
    "Counter",
    "Customer",
    "CustomerHistory",
    "CustomerPhone",
    "Cylinder",
    "CylinderReading",
    "DayShift",
    "Delivery",
    "DesignPartRow",
    "DesignRow",
    "DesignSupplyRow",
    "HistoryEntry",
    "Lot",
    "OfficeChange",
    "OpeningException",
    "OpeningWeekday",
    "Order",
    "OrderBatch",
    "OrderExtra",
    "OrderLine",
    "OwnColour",
    "Payment",
    "Photo",
    "PhotoImage",
    "PlannedStart",
    "Rental",
    "RentalReturn",
    "SettingRow",
    "StaffMember",
    "StockMove",
    "SupplyRow",
    "Tap",
    "WeekdayShift",
]
