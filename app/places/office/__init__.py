"""Office: the review, settings, hours, hands, kinds, supplies, stock and designs."""

from flask import Blueprint

from app.places.office import (
    designs,
    hires,
    hours,
    kinds,
    pace,
    review,
    settings,
    shifts,
    stock,
    stock_article,
    stock_buying,
    stock_lots,
    supplies,
    timing,
    weighing,
)

office = Blueprint("office", __name__, url_prefix="/office")
STOCK = (stock, stock_article, stock_lots, stock_buying)
for room in (settings, hours, shifts, kinds, weighing, timing, pace, supplies, *STOCK, designs, hires, review):
    room.add_to(office)
