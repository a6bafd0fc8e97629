"""This module has what the invented shop's goods cost it over the year: latex, helium and hours became dearer."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from sqlalchemy import select

from app.actions.catalogue.balloon_types import change_balloon_type, figures_of
from app.actions.context import Context
from app.actions.records.catalogue import load_catalogue
from app.actions.records.office_history import write_office_history
from app.actions.records.shop import load_shop
from app.actions.shop.office import change_settings
from app.actions.shop.settings_history import change_shop_settings
from app.craft.cost import CostLine
from app.demo.goods import PACKS
from app.demo.year.records import Lived
from app.quoting.order_cost import cost_of
from app.quoting.shop import Value
from app.store.models import BalloonTypeRow


@dataclass(frozen=True, slots=True)
class CostAge:
    """A time with the same costs. days_ago: when it began. latex_percent: of what a pack of latex costs today.
    settings: the other costs."""

    days_ago: int
    latex_percent: int
    settings: tuple[tuple[str, Value], ...]


AGES = (
    CostAge(100_000, 86, (("helium_m3_minor", 4100), ("hour_minor", 1380))),
    CostAge(231, 100, (("helium_m3_minor", 4100), ("hour_minor", 1380))),
    CostAge(96, 100, (("helium_m3_minor", 4800), ("hour_minor", 1450))),
)
"""The times of the year, the first one first; the last has the costs of today."""


class Costs:
    """What each lived order cost in each of the times."""

    def __init__(self, context: Context, lives: list[Lived], began: datetime) -> None:
        self._since: list[datetime] = []
        self._costs: list[dict[int, tuple[CostLine, ...]]] = []
        for age, at in _ages(context.now, began):
            _set_costs(replace(context, now=at), age, is_first=not self._since)
            shop, catalogue = load_shop(context.session), load_catalogue(context.session)
            self._since.append(at)
            self._costs.append({id(life): cost_of(life.quote, catalogue, shop) for life in lives})

    def of(self, life: Lived, at: datetime) -> tuple[CostLine, ...]:
        """Returns what it cost when it was taken then."""
        age = max((place for place, since in enumerate(self._since) if since <= at), default=0)
        return self._costs[age][id(life)]


def _ages(now: datetime, began: datetime) -> Iterator[tuple[CostAge, datetime]]:
    """Yields the times that the year has a part of, with the moment when each began; the first began before it."""
    since = [now.replace(hour=7, minute=0, second=0) - timedelta(days=min(age.days_ago, 5000)) for age in AGES]
    for place, age in enumerate(AGES):
        if place + 1 == len(AGES) or since[place + 1] > began:
            yield age, max(since[place], began - timedelta(days=60))


def _set_costs(context: Context, age: CostAge, *, is_first: bool) -> None:
    """Changes the costs, and adds that to the history of the office; the first ones were always so."""
    session = context.session
    for row in session.scalars(select(BalloonTypeRow)):
        if row.name not in PACKS:
            continue
        before, after = row.pack_minor, round(PACKS[row.name][1] * age.latex_percent / 100)
        change_balloon_type(session, row.id, replace(figures_of(row), pack_minor=after))
        if before != after and not is_first:
            was, now = (f"{minor / 100:.2f}" for minor in (before, after))
            write_office_history(context, f"balloon type {row.id}", [("pack_minor", "Pack costs", was, now)])
    if is_first:
        change_settings(session, dict(age.settings))
    else:
        change_shop_settings(context, dict(age.settings))
