"""This module writes the addresses of many rows. Each is built once for a page: to build one takes as long as to
draw a good part of a row."""

from collections.abc import Callable
from typing import Any

from flask import url_for

PLACE = 987654321
"""A number that stands in an address until that of a row takes its place."""


def links_by_number(endpoint: str, **values: Any) -> Callable[[int], str]:
    """Returns a function from the number of an order to its address. values: what else is in all of them."""
    return _filled_in(url_for(endpoint, number=PLACE, **values))


def links_by_key(endpoint: str) -> Callable[[str], str]:
    """Returns a function from the key of a batch to its address."""
    return _filled_in(url_for(endpoint, key=PLACE))


def _filled_in(address: str) -> Callable[[object], str]:
    before, _, after = address.partition(str(PLACE))
    return lambda value: f"{before}{value}{after}"
