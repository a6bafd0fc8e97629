"""This module reads the saved plan of the bench in one statement, and turns it into data and back."""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, fields, replace
from datetime import datetime, timedelta
from functools import lru_cache
from typing import Any

from sqlalchemy import Text, and_, select, type_coerce
from sqlalchemy.orm import Session

from app.quoting.states import HandOverStep, OrderPart, OrderState
from app.store.models import BenchPlan, Order, Tap
from app.store.types import EPOCH
from app.store.versions import PLAN, versions_of

MOST_KEPT = 2
"""So many plans are kept as they were read last: one, and its follower."""


@dataclass(frozen=True, slots=True)
class SavedBlock:
    """Work by this number of staff on a batch, or on the finishing of an order, between two moments. gas: None for
    finishing."""

    key: str
    gas: str | None
    start: datetime
    end: datetime
    staff: int


@dataclass(frozen=True, slots=True)
class SavedWork:
    """The seconds of an order's filling and finishing that are needed in hours that are too full."""

    order: str
    fill_seconds: int
    finish_seconds: int


@dataclass(frozen=True, slots=True)
class SavedDelay:
    """An order's work that cannot be ready by its ready-by.

    order: its number, followed by “ later” for a later part. ready_at: when it would be ready; None when not within
    a week. work: what is too much between two moments, its own first; empty in a plan that an older version saved.
    gas: the gas of which there are too few filling points; None when there are too few staff. proved: True when it
    was shown to be impossible, False when only no plan was found.
    """

    order: str
    ready_by: datetime
    ready_at: datetime | None
    work: tuple[SavedWork, ...]
    short_seconds: int
    start: datetime
    end: datetime
    gas: str | None
    proved: bool

    @property
    def number(self) -> int:
        return int(self.order.split()[0])

    @property
    def part(self) -> OrderPart:
        return OrderPart(self.order.partition(" ")[2] or OrderPart.MAIN)


@dataclass(frozen=True, slots=True)
class PlanChange:
    """A change of the plan at a moment.

    order: whose work changed. batch: the batch whose start moved; '' when the moment at which the order would be
    ready changed, of which None means never.
    """

    at: datetime
    order: str
    batch: str
    was: datetime | None
    now: datetime | None


@dataclass(frozen=True, slots=True)
class SavedPlan:
    """The saved plan of the bench. finish_starts: when the finishing of each order starts. news: the latest first.
    holds_until: when the first batch that is being filled counts as idle, so that the plan is made again; None if
    none is being filled."""

    board_version: int
    made_at: datetime
    blocks: tuple[SavedBlock, ...]
    finish_starts: Mapping[str, datetime]
    delays: tuple[SavedDelay, ...]
    news: tuple[PlanChange, ...]
    holds_until: datetime | None = None

    def blocks_of(self, key: str) -> list[SavedBlock]:
        return [block for block in self.blocks if block.key == key]


NO_PLAN = SavedPlan(board_version=0, made_at=EPOCH, blocks=(), finish_starts={}, delays=(), news=())


_SAVED = select(BenchPlan.board_version, BenchPlan.made_at, type_coerce(BenchPlan.content, Text()).label("content"))


def load_plan(session: Session) -> SavedPlan:
    """Returns the saved plan of the bench; an empty one when none was saved yet. What became ready since, or was
    handed over or cancelled, is late no longer, though the plan was made before."""
    row = session.execute(_SAVED).one_or_none()
    plan = _read_once(row.board_version, row.made_at, row.content) if row else NO_PLAN
    return replace(plan, delays=tuple(_still_late(session, plan.delays))) if plan.delays else plan


def plan_version(session: Session) -> int:
    """Returns the version of the board from which the saved plan was made; 0 when none was saved yet."""
    return versions_of(session).get(PLAN, NO_PLAN.board_version)


def _still_late(session: Session, delays: Sequence[SavedDelay]) -> Iterator[SavedDelay]:
    """Yields the delays of open orders whose hand-over was not tapped as ready."""
    ready = and_(Tap.order_id == Order.id, Tap.act == HandOverStep.READY, Tap.undone_at.is_(None))
    found = select(Order.number, Order.state, Tap.part).outerjoin(Tap, ready)
    rows = session.execute(found.where(Order.number.in_({delay.number for delay in delays}))).all()
    done = {(row.number, row.part) for row in rows}
    closed = {row.number for row in rows if row.state != OrderState.OPEN}
    for delay in delays:
        if delay.number not in closed and (delay.number, delay.part) not in done:
            yield delay


def read_plan(row: BenchPlan) -> SavedPlan:
    """Returns the plan that a row stores."""
    return _read(row.board_version, row.made_at, row.content)


@lru_cache(maxsize=MOST_KEPT)
def _read_once(board_version: int, made_at: datetime, text: str) -> SavedPlan:
    """Returns the plan of a row, whose content is still text. As long as the row stays, it is the same object."""
    return _read(board_version, made_at, json.loads(text))


def _read(board_version: int, made_at: datetime, content: Mapping[str, Any]) -> SavedPlan:
    return SavedPlan(
        board_version=board_version,
        made_at=made_at,
        blocks=tuple(_read_block(block) for block in content["blocks"]),
        finish_starts={order: _moment(at) for order, at in content["finish_starts"].items()},
        delays=tuple(_read_delay(delay) for delay in content["delays"]),
        news=tuple(_read_plan_change(one) for one in content["news"]),
        holds_until=_moment_or_none(content.get("holds_until")),
    )


def _read_block(saved: Mapping[str, Any]) -> SavedBlock:
    return SavedBlock(
        key=saved["key"],
        gas=saved["gas"],
        start=_moment(saved["start"]),
        end=_moment(saved["end"]),
        staff=saved["staff"],
    )


def _read_delay(saved: Mapping[str, Any]) -> SavedDelay:
    return SavedDelay(
        order=saved["order"],
        ready_by=_moment(saved["ready_by"]),
        ready_at=_moment_or_none(saved["ready_at"]),
        work=tuple(SavedWork(**share) for share in saved.get("work", ())),
        short_seconds=saved["short_seconds"],
        start=_moment(saved["start"]),
        end=_moment(saved["end"]),
        gas=saved["gas"],
        proved=saved["proved"],
    )


def _read_plan_change(saved: Mapping[str, Any]) -> PlanChange:
    return PlanChange(
        at=_moment(saved["at"]),
        order=saved["order"],
        batch=saved["batch"],
        was=_moment_or_none(saved["was"]),
        now=_moment_or_none(saved["now"]),
    )


def write_plan(plan: SavedPlan) -> dict[str, Any]:
    """Returns the plan in the form in which `BenchPlan.content` stores it."""
    return {
        "blocks": [_described(block) for block in plan.blocks],
        "finish_starts": {order: _seconds(at) for order, at in plan.finish_starts.items()},
        "delays": [_described_delay(delay) for delay in plan.delays],
        "news": [_described(one) for one in plan.news],
        "holds_until": _seconds(plan.holds_until) if plan.holds_until else None,
    }


def _described(one: SavedBlock | SavedDelay | PlanChange) -> dict[str, Any]:
    """Its fields by name."""
    values = ((field.name, getattr(one, field.name)) for field in fields(one))
    return {name: _seconds(value) if isinstance(value, datetime) else value for name, value in values}


def _described_delay(one: SavedDelay) -> dict[str, Any]:
    return _described(one) | {"work": [asdict(share) for share in one.work]}


def _seconds(moment: datetime) -> int:
    return (moment - EPOCH) // timedelta(seconds=1)


def _moment(seconds: int) -> datetime:
    return EPOCH + timedelta(seconds=seconds)


def _moment_or_none(seconds: int | None) -> datetime | None:
    """Returns the moment of these seconds, or None for None."""
    return None if seconds is None else _moment(seconds)


def callers_of_orders(session: Session, numbers: Sequence[int]) -> dict[int, tuple[str, str]]:
    """Returns name and phone by the number of an order."""
    if not numbers:
        return {}
    found = select(Order.number, Order.customer, Order.phone).where(Order.number.in_(numbers))
    return {number: (customer, phone) for number, customer, phone in session.execute(found)}
