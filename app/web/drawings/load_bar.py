"""This module lays out the small bar that shows how full a day is: planned work against what its staff can do."""

from dataclasses import dataclass

from app.planning.day_load import DayLoad

WIDTH = 100.0


@dataclass(frozen=True, slots=True)
class LoadBar:
    """The bar of a day. filled: how long its planned part is, of WIDTH. look: “free”, “busy” above three quarters,
    “full” if nothing is free. text: the same in words."""

    filled: float
    look: str
    text: str


BUSY_SHARE = 0.75
"""Chosen, no source."""


def layout_load_bar(load: DayLoad, text: str) -> LoadBar:
    """Returns the bar of a day."""
    look = "full" if not load.free else "busy" if load.share > BUSY_SHARE else "free"
    return LoadBar(round(min(load.share, 1.0) * WIDTH, 1), look, text)
