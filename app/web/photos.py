"""This module reads the photos of a form and re-encodes them before a session is opened."""

from dataclasses import dataclass
from typing import cast

from flask import request
from werkzeug.datastructures import FileStorage
from wtforms import MultipleFileField

from app.actions.photos.reencode import MOST_BYTES, ReencodedPhoto, UnreadablePhoto, reencode
from app.quoting.errors import Problem, Refused
from app.web.forms import ShopForm
from app.web.requests import UploadLimits, accept_uploads, request_context
from app.web.wording.forms import too_many_photos

MOST_AT_ONCE = 10
MOST_SENT = 3 * MOST_BYTES + 256 * 1024
"""The most bytes of a whole form with its photos; those of a phone have some 3 to 8 MB each."""
TOO_MUCH = (
    f"No photo was saved. Send at most {MOST_AT_ONCE} photos together, each up to 20 MB and all up to 60 MB. "
    "Go back and send fewer or smaller ones."
)


class PhotosForm(ShopForm):
    photos = MultipleFileField("Take or choose photos", id="photo-files")


@dataclass(frozen=True, slots=True)
class UploadedPhotos:
    """The photos of a form: either all of them, or none and the sentence that says what is wrong."""

    photos: tuple[ReencodedPhoto, ...] = ()
    wrong: str = ""


def uploaded_photos() -> tuple[ReencodedPhoto, ...]:
    """Returns the photos of this request. Raises Refused with the sentence when one of them cannot be read."""
    uploaded = cast(UploadedPhotos, request_context().uploaded)
    if uploaded.wrong:
        raise Refused(Problem("photos", uploaded.wrong))
    return uploaded.photos


def _read_photos() -> UploadedPhotos:
    """Reads and re-encodes all photos of the form."""
    files = [file for file in request.files.getlist("photos") if file.filename]  # a field left empty has no name
    if len(files) > MOST_AT_ONCE:
        return UploadedPhotos(wrong=too_many_photos(MOST_AT_ONCE, len(files)))
    reencoded: list[ReencodedPhoto] = []
    for place, file in enumerate(files, 1):
        try:
            reencoded.append(_reencode_file(file))
        except UnreadablePhoto as wrong:
            which = f"No photo was saved because of photo {place} of {len(files)}. " if len(files) > 1 else ""
            return UploadedPhotos(wrong=f"{which}{wrong}")
    return UploadedPhotos(tuple(reencoded))


def _reencode_file(file: FileStorage) -> ReencodedPhoto:
    """Returns a file re-encoded as a photo; the file's name and stated type do not count."""
    return reencode(file.stream.read(MOST_BYTES + 1))


accepts_photos = accept_uploads(UploadLimits(MOST_SENT, MOST_AT_ONCE + 10, TOO_MUCH, _read_photos))
"""Marks a view whose form has files named `photos`."""
