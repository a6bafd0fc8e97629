"""Office: the review, settings, hours, hands, kinds, supplies and designs."""

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
    supplies,
    timing,
    weighing,
)

office = Blueprint("office", __name__, url_prefix="/office")
for room in (settings, hours, shifts, kinds, weighing, timing, pace, supplies, designs, photos, gas, hires, review):
    room.add_to(office)
