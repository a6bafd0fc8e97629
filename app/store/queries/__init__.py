"""This package has what the screens read, one file per screen. Importing it begins to keep the flags by which some
of them find open orders."""

from app.store import open_flags  # noqa: F401
