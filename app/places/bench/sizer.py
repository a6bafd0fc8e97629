"""The sizer settings that several of the day's batches share, and how long one balloon takes to fill."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum

from app.craft.sizing import SizerBatch, SizerSetting, filled_litres, shared_settings
from app.physics.balloon import Gas
from app.planning.shoptime import local_day
from app.planning.work import STUFFING, fill_seconds, filling_point
from app.quoting.states import OrderState
from app.store.models import BalloonTypeRow
from app.store.queries.bench import BoardRow
from app.web.batch_state import window_of
from app.web.days import ShopDay, board_day
from app.web.requests import request_context

POINTS = {Gas.HELIUM.value: "Helium", Gas.AIR.value: "Air", STUFFING: "Stuffing machine"}


class Start(StrEnum):
    """When a batch, or all batches of a setting together, can be started."""

    STARTED = "started"
    LATE = "late"
    OPEN = "open"
    WAIT = "wait"
    NO_EARLIER = "no-earlier"
    APART = "apart"


@dataclass(frozen=True, slots=True)
class ShownFill:
    """How long the gas flows into one balloon, and at which filling point."""

    point: str
    seconds: str


@dataclass(frozen=True, slots=True)
class ShownBatchLeft:
    """A batch that shares the setting, with what is left to fill."""

    key: str
    left: int
    start: Start
    start_words: str


@dataclass(frozen=True, slots=True)
class ShownSetting:
    """A setting with its batches. start, start_words: when all of them can be started together. saves: how often
    less the sizer is set if they are filled one after another."""

    size: str
    gas: str
    left: int
    start: Start
    start_words: str
    saves: int
    batches: tuple[ShownBatchLeft, ...]


def show_fill(row: BoardRow) -> ShownFill:
    """Returns how long one balloon of the batch takes to fill."""
    here, gas = request_context(), Gas(row.gas)
    litres = filled_litres(
        here.session.get_one(BalloonTypeRow, row.balloon_type_id).balloon_type, row.fill_size_in, row.fill_share
    )
    seconds = fill_seconds(litres, here.shop.work_times.l_per_s(gas))
    return ShownFill(POINTS[point_of(row)], f"about {here.formats.seconds(seconds)} each")


def settings_of(rows: Sequence[BoardRow], day: ShopDay) -> list[ShownSetting]:
    """Returns the shared settings, sorted by the earliest inflate-by."""
    return [
        _show(setting, day.clock_date)
        for setting in shared_settings(_sizer_batch(row) for row in rows if is_sized(row))
    ]


def find_same_setting(
    row: BoardRow, rows_of: Callable[[ShopDay], list[BoardRow]]
) -> tuple[ShownSetting | None, list[BoardRow]]:
    """Returns the setting that the batch shares on its day, without the batch itself, and the other batches.

    rows_of: reads the batches of a day.
    """
    if not is_sized(row):
        return None, []
    here = request_context()
    day = board_day(here.now if row.started_at else min(row.inflate_by, row.ready_by), here)
    rows = [one for one in rows_of(day) if is_sized(one)]
    for setting in shared_settings(map(_sizer_batch, rows)):
        keys = [batch.key for batch in setting.batches]
        if row.key in keys:
            others = [one for one in rows if one.key in keys and one.key != row.key]
            return _show(setting, local_day(here.now, here.formats.zone), without=row.key), others
    return None, []


def is_sized(row: BoardRow) -> bool:
    """Returns whether the batch is open and goes through the shop's own sizer; a crew has a sizer of its own."""
    is_open = row.order_state == OrderState.OPEN and not row.not_made_at
    return row.material.traits.is_sized(air_only=row.air_only) and is_open and row.left > 0 and not row.at_venue


def point_of(row: BoardRow) -> str:
    """Returns the filling point that the batch needs."""
    return filling_point(row.material, Gas(row.gas), air_only=row.air_only)


def _sizer_batch(row: BoardRow) -> SizerBatch:
    """Returns the batch as the planning compares it."""
    return SizerBatch(
        row.key,
        Gas(row.gas),
        point_of(row),
        row.fill_size_in,
        row.left,
        row.started_at is not None,
        window_of(row, request_context().shop).earliest,
        row.inflate_by,
    )


def _show(setting: SizerSetting, day: date, without: str = "") -> ShownSetting:
    """Returns the setting in words, without the batch of the key `without`. day: its times are shown without their
    weekday."""
    own = next((batch for batch in setting.batches if batch.key == without), None)
    waits_until = own.earliest if own and not own.started else None
    return ShownSetting(
        request_context().formats.size(setting.inches),
        setting.gas,
        setting.left,
        *_common_start(setting, day),
        len(setting.batches) - 1,
        tuple(
            ShownBatchLeft(batch.key, batch.left, *_start(batch, day, waits_until))
            for batch in setting.batches
            if batch.key != without
        ),
    )


def _common_start(setting: SizerSetting, day: date) -> tuple[Start, str]:
    """Returns when all batches of the setting can be started together, also in words."""
    when = setting.common_start_window
    if when is None:
        return Start.STARTED, "all being filled"
    earliest, latest = when
    if earliest and earliest > latest:
        return Start.APART, "not all at the same time"
    if latest < request_context().now:
        return Start.LATE, "start now: one is late"
    start, words = _between(earliest, latest, day)
    return start, f"start all {words}"


def _start(batch: SizerBatch, day: date, waits_until: datetime | None = None) -> tuple[Start, str]:
    """Returns when the batch can be started, also in words. waits_until: the earliest start of the one with which
    it would be filled together."""
    if waits_until and waits_until > request_context().now:
        if batch.started or batch.inflate_by < waits_until:
            return Start.APART, _start(batch, day)[1]
        batch = replace(batch, earliest=max(batch.earliest or waits_until, waits_until))
    if batch.started:
        return Start.STARTED, "being filled"
    if batch.earliest and batch.earliest > batch.inflate_by:
        at = request_context().formats.short_moment(batch.inflate_by, day)
        return Start.NO_EARLIER, f"start at {at}, no earlier"
    return _between(batch.earliest, batch.inflate_by, day)


def _between(earliest: datetime | None, latest: datetime, day: date) -> tuple[Start, str]:
    """Returns the time between two moments in words, and whether it has come or has passed."""
    here = request_context()
    by = here.formats.short_moment(latest, day)
    if latest < here.now:
        return Start.LATE, f"late since {by}"
    if earliest and earliest > here.now:
        return Start.WAIT, f"between {here.formats.short_moment(earliest, day)} and {by}"
    return Start.OPEN, f"by {by}"
