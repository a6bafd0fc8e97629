"""This module reads what is in stock, by article and colour."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from sqlalchemy import (
    BindParameter,
    CompoundSelect,
    Select,
    and_,
    bindparam,
    case,
    func,
    null,
    or_,
    select,
    union_all,
)
from sqlalchemy.orm import Session

from app.physics.material import Material
from app.store.models import BalloonTypeRow, Lot, SupplyRow
from app.store.queries.by_index import distinct_values_of, is_there
from app.store.rows import RowReader


@dataclass(frozen=True, slots=True)
class StockLevelRow:
    """All lots of one article and colour together that can be used for orders. colour: as one of the packs says it.
    old: how many more there are that are too old to be filled."""

    balloon_type_id: int | None
    supply_id: int | None
    colour: str
    colour_folded: str
    on_hand: float
    old: float


Ids = Collection[int] | None
"""None is all."""


def articles_of(balloon_types: Ids, supplies: Ids) -> dict[str, list[int]]:
    """Returns the parameters of a statement about these articles; none if all are wanted."""
    if balloon_types is None and supplies is None:
        return {}
    return {"balloon_types": [*(balloon_types or ())], "supplies": [*(supplies or ())]}


BALLOON_TYPES: BindParameter[Any] = bindparam("balloon_types", expanding=True)
SUPPLIES: BindParameter[Any] = bindparam("supplies", expanding=True)


_AGEING = select(BalloonTypeRow.id).where(
    BalloonTypeRow.material.in_([one for one in Material if one.traits.ages_in_stock])
)
_IS_OLD = and_(
    Lot.received_on < bindparam("old_before"),
    Lot.on_hand > 0,
    Lot.balloon_type_id.is_not(None),
    Lot.balloon_type_id.in_(_AGEING),
)
LOTS = RowReader(
    StockLevelRow,
    balloon_type_id=Lot.balloon_type_id,
    supply_id=Lot.supply_id,
    colour=func.max(Lot.colour),
    colour_folded=Lot.colour_folded,
    on_hand=func.sum(case((or_(Lot.set_aside_at.is_not(None), _IS_OLD), 0.0), else_=Lot.on_hand)),
    old=func.sum(case((and_(Lot.set_aside_at.is_(None), _IS_OLD), Lot.on_hand), else_=0.0)),
)


def load_stock_levels(
    session: Session, old_before: date, balloon_types: Ids = None, supplies: Ids = None
) -> list[StockLevelRow]:
    """Returns the stock by article and colour, including each colour that was ever there and of which nothing is
    left. old_before: what ages and came in before this day is old."""
    articles = articles_of(balloon_types, supplies)
    lots, colours = _lots(every=not articles), _colours(every=not articles)
    there = LOTS.read(session, lots, old_before=old_before, **articles)
    known = {_shelf_of(row) for row in there}
    ever = (
        StockLevelRow(
            balloon_type_id=balloon_type,
            supply_id=supply,
            colour=said,
            colour_folded=folded,
            on_hand=0.0,
            old=0.0,
        )
        for balloon_type, supply, said, folded in session.execute(colours, articles)
    )
    return sorted([*there, *(row for row in ever if _shelf_of(row) not in known)], key=_shelf_of)


def _shelf_of(row: StockLevelRow) -> tuple[int, int, str]:
    return row.balloon_type_id or 0, row.supply_id or 0, row.colour_folded


@cache
def _lots(*, every: bool) -> Select[*tuple[Any, ...]]:
    """Returns the statement of the lots that are not used up."""
    found = LOTS.select().where(is_there()).group_by(Lot.balloon_type_id, Lot.supply_id, Lot.colour_folded)
    if every:
        return found
    articles = (Lot.balloon_type_id.in_(BALLOON_TYPES), Lot.supply_id.in_(SUPPLIES))
    return found.where(Lot.id.in_(union_all(*(select(Lot.id).where(one, is_there()) for one in articles))))


@cache
def _colours(*, every: bool) -> CompoundSelect[*tuple[Any, ...]]:
    """Returns the statement of each colour of an article that was ever there."""
    owners = (
        (select(BalloonTypeRow.id), BalloonTypeRow.id.in_(BALLOON_TYPES), Lot.balloon_type_id),
        (select(SupplyRow.id), SupplyRow.id.in_(SUPPLIES), Lot.supply_id),
    )
    parts = []
    for found, is_asked, owner in owners:
        colours = distinct_values_of(found if every else found.where(is_asked), owner, Lot.colour_folded)
        alike = (owner == colours.c.owner, Lot.colour_folded == colours.c.value)
        said = select(func.max(Lot.colour)).where(*alike).correlate(colours).scalar_subquery()
        is_type = owner is Lot.balloon_type_id
        article = (colours.c.owner, null()) if is_type else (null(), colours.c.owner)
        parts.append(select(*article, said, colours.c.value).where(colours.c.value.is_not(None)))
    return union_all(*parts)
