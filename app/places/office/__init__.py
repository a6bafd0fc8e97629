"""Office: the review, settings, hours, hands, kinds and designs."""

from flask import Blueprint

from app.places.office import designs, goods, hours, review, settings, shifts, timing, weighing

office = Blueprint("office", __name__, url_prefix="/office")
for room in (settings, hours, shifts, goods, weighing, timing, designs, review):
    room.add_to(office)
