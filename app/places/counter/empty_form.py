"""Counter: the order form before anything is typed. It is kept drawn until something that it shows changes."""

from collections.abc import Callable
from datetime import date

from app.places.counter.goods_routes import pictures, this_day
from app.places.counter.prefill import new_form
from app.web.marks import MarkedKeys, MarkedPart, with_marks
from app.web.requests import request_context, served_app
from app.web.templates import opens_next


def empty_form(day: date | None, draw: Callable[..., str]) -> bytes:
    """Returns the empty form as bytes. day: of the event, if it is known. draw: draws a form."""
    here, kept = request_context(), served_app().kept_parts
    name = f"order form {day or ''}"
    photos = tuple((value, photo.key, photo.width, photo.height) for value, photo in pictures().items())
    made_from = here.shop_version, this_day(), photos, opens_next()
    known = kept.get(name)
    if known is None or known[0] != made_from:
        form = new_form(MarkedKeys().new_key(), here.formats.typed_date(day) if day else "")
        known = made_from, MarkedPart(with_marks(draw(form)))
        if here.shop_version is not None:
            kept.put(name, known)
    return known[1].of_this_answer()
