"""This module writes the addresses of many rows. Each is built once for a page: to build one takes as long as to
draw a good part of a row."""

from collections.abc import Callable
from typing import Any

from flask import url_for

PLACE = 987654321
"""A number that stands in an address until that of a row takes its place."""


def links_by_number(endpoint: str, **values: Any) -> Callable[[int], str]:
    """Returns a function from the number of an order to its address. values: what else is in all of them."""
    before, _, after = url_for(endpoint, number=PLACE, **values).partition(str(PLACE))
    return lambda number: f"{before}{number}{after}"
