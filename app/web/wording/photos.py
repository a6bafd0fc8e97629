"""This module says what became of the photos of an order or a design."""

PHOTOS_ADDED = "Photos saved."
PHOTO_REMOVED = "Photo removed."
PHOTO_FIRST = "This photo is the first now."
