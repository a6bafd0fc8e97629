"""Photos as they come in with a form: read, drawn anew, and only then is a session opened for them."""

from dataclasses import dataclass
from typing import cast

from flask import request
from werkzeug.datastructures import FileStorage
from wtforms import MultipleFileField

from app.actions.errors import Problem, Refused
from app.actions.photos.reencode import MOST_BYTES, ReencodedPhoto, UnreadablePhoto, reencode
from app.web.forms import ShopForm
from app.web.requests import UploadLimits, request_context, takes

MOST_AT_ONCE = 10
MOST_SENT = 3 * MOST_BYTES + 256 * 1024
"""Of a whole form with its photos; a telephone's have some 3 to 8 MB each."""
TOO_MUCH = (
    f"A photo may have 20 MB, and all that are sent together 60 MB, {MOST_AT_ONCE} at most: this was more, and "
    "nothing was kept. Go back and send fewer, or smaller ones."
)


class PhotosForm(ShopForm):
    photos = MultipleFileField("Photos: take some, or choose some", id="photo-files")


@dataclass(frozen=True, slots=True)
class Brought:
    """photos: all of them, or none and what is wrong."""

    photos: tuple[ReencodedPhoto, ...] = ()
    wrong: str = ""


def brought_photos() -> tuple[ReencodedPhoto, ...]:
    """Raises Refused with the sentence where one of them is none."""
    brought = cast(Brought, request_context().brought)
    if brought.wrong:
        raise Refused(Problem("photos", brought.wrong))
    return brought.photos


def _bring() -> Brought:
    files = [file for file in request.files.getlist("photos") if file.filename]  # a field left empty has no name
    drawn: list[ReencodedPhoto] = []
    for place, file in enumerate(files, 1):
        try:
            drawn.append(_draw(file))
        except UnreadablePhoto as wrong:
            which = f"Photo {place} of {len(files)}, so none was kept: " if len(files) > 1 else ""
            return Brought(wrong=f"{which}{wrong}")
    return Brought(tuple(drawn))


def _draw(file: FileStorage) -> ReencodedPhoto:
    """Its name and what it says it is are not looked at."""
    return reencode(file.stream.read(MOST_BYTES + 1))


takes_photos = takes(UploadLimits(MOST_SENT, MOST_AT_ONCE + 10, TOO_MUCH, _bring))
"""Marks a view whose form has files named `photos`."""
