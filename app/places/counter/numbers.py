"""Numbers of the order form: read, or a sentence at the field that is wrong."""

from collections.abc import Callable
from typing import Any

from wtforms.validators import ValidationError

from app.web.forms import read_whole


def number_in(field: Any, read: Callable[[str], float]) -> float | None:
    """None where it is empty, or wrong."""
    text = (field.data or "").strip()
    if not text:
        return None
    try:
        return read(text)
    except ValidationError as wrong:
        field.errors = [*field.errors, str(wrong)]
        return None


def whole_in(field: Any, low: int, high: int, usual: int | None) -> int:
    """usual: what an empty field means; None when it may not be empty. 0 where it is wrong."""
    text = field.data or ""
    if not text.strip() and usual is not None:
        return usual
    try:
        return read_whole(text, low, high, field.label.text)
    except ValidationError as wrong:
        field.errors = [*field.errors, str(wrong)]
        return 0
