"""The pixels of a photo, for every page that shows one."""

from flask import Blueprint, Response

from app.actions.errors import NotFound
from app.store.queries.photos import photo_pixels
from app.web.requests import request_context

photos = Blueprint("photos", __name__, url_prefix="/photos")


@photos.get("/<photo>/<any(whole, small):size>")
def pixels(photo: str, size: str) -> Response:
    """Returns the pixels of a photo. They never change under its name, so a browser need not ask twice."""
    jpeg = photo_pixels(request_context().session, photo, size)
    if jpeg is None:
        raise NotFound("This photo does not exist. It may have been removed.")
    response = Response(jpeg, mimetype="image/jpeg")
    response.headers["Content-Disposition"] = f'inline; filename="{photo}.jpg"'
    response.headers["Cache-Control"] = "private, max-age=31536000, immutable"
    return response
