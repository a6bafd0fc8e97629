"""Office: the review, settings, hours, kinds and designs."""

from flask import Blueprint

from app.places.office import goods, hours, review, settings

office = Blueprint("office", __name__, url_prefix="/office")
for room in (settings, hours, goods, review):
    room.add_to(office)
