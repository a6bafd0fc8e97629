"""Office: the review, settings, hours, hands, kinds and designs."""

from flask import Blueprint

from app.places.office import designs, goods, hours, review, settings, shifts, weighing

office = Blueprint("office", __name__, url_prefix="/office")
for room in (settings, hours, shifts, goods, weighing, designs, review):
    room.add_to(office)
