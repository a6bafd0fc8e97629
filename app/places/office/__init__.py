"""Office: the review, settings, hours, hands, kinds, supplies, stock and designs."""

from flask import Blueprint

from app.places.office import (
    designs,
    gas,
    hires,
    hours,
    kinds,
    pace,
    photos,
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
GOODS = (kinds, weighing, timing, pace, supplies, *STOCK, designs, photos, gas)
for room in (settings, hours, shifts, *GOODS, hires, review):
    room.add_to(office)
