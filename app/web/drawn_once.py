"""Small pieces of a page that look alike wherever they stand: a template draws each of them once."""

from functools import lru_cache

from flask import current_app
from markupsafe import Markup

MOST_KEPT = 4096


@lru_cache(MOST_KEPT)
def drawn_once(template: str, macro: str, *values: object) -> Markup:
    """Returns what a macro draws of these values. It must draw nothing else, neither of the request nor of the
    shop, and each value must be hashable."""
    draw = getattr(current_app.jinja_env.get_template(template).module, macro)
    return Markup(draw(*values))
