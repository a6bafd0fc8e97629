"""Office: the review, settings, hours, hands, kinds and designs."""

from flask import Blueprint

from app.places.office import goods, hours, review, settings, shifts

office = Blueprint("office", __name__, url_prefix="/office")
for room in (settings, hours, shifts, goods, review):
    room.add_to(office)
