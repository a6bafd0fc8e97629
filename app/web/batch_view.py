"""This module describes a batch as bench, ticket and order page show it: its state, its sentences, its float
strip."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property, lru_cache

from app.actions.records.batches import read_float_plan, usable_window
from app.actions.records.open_work import work_key
from app.physics.balloon import Gas
from app.planning.bench_window import BenchWindow
from app.planning.early import Early, why_early
from app.planning.window import Certainty, FloatOutcome, FloatPlan, Verdict, worst
from app.quoting.shop import Shop
from app.quoting.states import OrderState
from app.store.queries.bench import BoardRow
from app.web.batch_state import BatchState, latest_start, state_of, window_now, window_of
from app.web.batch_words import (
    describe_fill_level,
    describe_note,
    describe_one_person,
    describe_start,
    describe_state,
)
from app.web.drawings.float_strip import Strip, StripHours, layout
from app.web.formats import Formats
from app.web.time_reasons import reasons_of
from app.web.wording.batches import changed_since_start, early_note, idle_question
from app.web.wording.materials import nozzle_name
from app.web.wording.orders import window_sentence
from app.web.wording.outcome import float_verdict_words, outcome_sentence, over_sentence
from app.web.wording.plan import PlanOfBatch, PlanWords
from app.web.wording.why import describe_reasons

LOAD_TOLERANCE_G = 0.005
"""Loads that are shown as the same number count as the same."""


@dataclass(frozen=True)
class BoardBatch:
    """A batch as the pages show it at a moment. What is said of it is found when a page first asks for it, so that
    a short row costs little. weight: of each one that is sold singly, as the order page says it.
    """

    row: BoardRow
    shop: Shop
    formats: Formats
    now: datetime
    plan: PlanOfBatch
    weight: str = ""

    @cached_property
    def window(self) -> BenchWindow:
        return window_of(self.row, self.shop)

    @cached_property
    def state(self) -> BatchState:
        return state_of(self.row, self.window, self.now, self.shop, delayed=self.is_delayed)

    @property
    def is_delayed(self) -> bool:
        """Whether the plan cannot have its order ready in time."""
        return self.plan.delay is not None

    @cached_property
    def latest(self) -> datetime:
        """The latest start that counts: with it, its order would not be late because of it."""
        return latest_start(self.row, delayed=self.is_delayed)

    @property
    def is_planned_too_late(self) -> bool:
        """Whether it is not begun and the plan starts it after its latest start."""
        return not self.row.started_at and self.latest < self.row.inflate_by

    @property
    def starts_at_once(self) -> bool:
        """Whether it is to be started now, because its order is late already."""
        return self.is_planned_too_late and self.state in (BatchState.LATE, BatchState.DUE, BatchState.OPEN)

    @cached_property
    def state_word(self) -> str:
        return describe_state(self.row, self.state, self.formats, self.now)

    @cached_property
    def float_plan(self) -> FloatPlan:
        return read_float_plan(self.row.float_plan)

    @cached_property
    def early(self) -> Early | None:
        """Why it must wait, if it must."""
        if self.state is not BatchState.EARLY:
            return None
        window = window_now(self.row, self.window, self.shop, self.now)
        return why_early(window, self.row.not_before, self.float_plan, self.shop.certainty, self.now)

    @cached_property
    def note(self) -> str:
        """The one thing to know about it besides its state."""
        if self.early:
            day = self.formats.local(self.now).date()
            return early_note(self.early, self.float_plan.chance(self.now), self.formats, day)
        return describe_note(self.row, self.state, self.formats, self.now)

    @cached_property
    def chance_now(self) -> str:
        """How sure it is to float to the end if it is started now; empty if it need not wait for that."""
        early = self.early
        return self.formats.percent(self.float_plan.chance(self.now)) if early and early.costs_float_time else ""

    @property
    def idle_question(self) -> str:
        """What is asked if nobody has tapped it for long; empty otherwise."""
        row = self.row
        return idle_question(row.key, row.filled, row.quantity) if self.state is BatchState.IDLE else ""

    @property
    def changes_since_start(self) -> tuple[str, ...]:
        return changed_since_start(self.row, self.formats)

    @property
    def size(self) -> str:
        return describe_fill_level(self.row, self.formats)

    @property
    def tip(self) -> str:
        """What the gas goes through into the balloons."""
        return nozzle_name(self.row.material, Gas(self.row.gas))

    @cached_property
    def inflate_by(self) -> str:
        """The latest start that counts."""
        return self.formats.short_moment(self.latest, self.plan.day)

    @cached_property
    def planned_start(self) -> str:
        return self.formats.short_moment(self.row.inflate_by, self.plan.day)

    @cached_property
    def ready_by(self) -> str:
        return self.formats.short_moment(self.row.ready_by, self.plan.day)

    @property
    def one_person_note(self) -> str:
        """When one person must start the first of several batches, while there is no plan yet."""
        return "" if self.plan.finish_start else describe_one_person(self.row, self.formats, self.plan.day)

    @cached_property
    def planned_times(self) -> str:
        return self.plan.times(self.formats)

    @cached_property
    def finishing_start(self) -> str:
        return self.plan.finish(self.formats)

    @property
    def finishes_late(self) -> bool:
        """Whether the plan starts its order's finishing too late for the order to be ready in time."""
        row, starts = self.row, self.plan.finish_start
        return starts is not None and starts + timedelta(minutes=row.finishing_minutes) > row.ready_by

    @cached_property
    def delay_note(self) -> str:
        return self.plan.late(self.formats)

    @cached_property
    def outcome(self) -> FloatOutcome:
        start = self.float_plan.start_to_judge(self.row.started_at, self.row.inflate_by)
        return _outcome(self.float_plan, start, self.shop.certainty)

    @cached_property
    def verdict(self) -> Verdict:
        """With its real start once it has one."""
        return self.outcome.verdict

    @property
    def is_over(self) -> bool:
        """Whether its balloons need not float any more."""
        return self.row.lasts_until is not None and self.row.lasts_until <= self.now

    @property
    def promised(self) -> Verdict:
        """The verdict that it was saved with; once it was started, that of its start."""
        return Verdict(self.row.verdict)

    @property
    def is_unsafe(self) -> bool:
        """Whether its verdict is to be shown: it still must float, and is not safe or no longer as promised."""
        return not self.is_over and (self.verdict is not Verdict.SAFE or self.promised is not self.verdict)

    @property
    def float_words(self) -> str:
        """How long it lasts, and what was promised if that is something else."""
        return float_verdict_words(self.promised, self.verdict)

    @property
    def was_started_early(self) -> bool:
        return _was_started_early(self.row, self.outcome)

    @property
    def is_doubtful(self) -> bool:
        """Whether something is to be said of how long it lasts."""
        return bool(self.row.accepted_risk) or self.verdict is not Verdict.SAFE

    @property
    def marks(self) -> dict[str, str | int | bool]:
        """What its tag says of it besides its class; an attribute that is empty is left out."""
        row, early = self.row, self.early
        return {
            "data-state": self.state,
            "data-ready-by": self.formats.local(row.ready_by).isoformat(),
            "data-early": early.reason if early else False,
            "data-starts-from": self.formats.local(early.starts_from).isoformat() if early else False,
            "data-chance-now": self.chance_now or False,
            "data-burst": row.burst if row.left and row.burst else False,
            "data-order-late": self.is_delayed,
            "data-planned": self.formats.local(row.inflate_by).isoformat() if self.is_planned_too_late else False,
        }

    @cached_property
    def chance(self) -> str:
        """How sure it is to float to the end; empty if it has none, and once that is past, only that."""
        if self.row.lasts_until is None:
            return ""
        until = self.formats.short_moment(self.row.lasts_until, self.plan.day)
        if self.is_over:
            return over_sentence(until)
        return outcome_sentence(self.outcome, self.float_plan.endurance.promise, until, self.row.gas)

    @property
    def load(self) -> str:
        """What hangs on each balloon, “5.75 g”; empty if that is no more than on a loose one."""
        load_g = self.row.load_g
        return self.formats.weighed(load_g, 2) if load_g > self.shop.loads.loose_g + LOAD_TOLERANCE_G else ""

    @cached_property
    def strip(self) -> Strip:
        return self._strip(slim=False)

    @cached_property
    def slim_strip(self) -> Strip:
        """The strip as the underline of a row."""
        return self._strip(slim=True)

    def _strip(self, *, slim: bool) -> Strip:
        row, formats, day = self.row, self.formats, self.plan.day
        words = describe_start(row, formats, day) or window_sentence(
            self.window, formats, day, self.now, lasts=self.outcome.lasts
        )
        window = self.window
        if self.is_planned_too_late:
            window = usable_window(row.not_before, self.latest, row.ready_by, row.hand_over, self.shop)
        hours = StripHours(window, row.event_start, row.lasts_until, self.float_plan, self.verdict, row.started_at)
        return layout(hours, f"{words} {self.chance}".rstrip(), formats, self.now, slim=slim)

    @cached_property
    def time_reasons(self) -> tuple[str, str, str, str]:
        """Why it is filled when it is, in sentences."""
        reasons = reasons_of(self.row, self.window, self.float_plan, self.shop, self.plan.finish_start)
        return describe_reasons(reasons, self.formats, self.plan.day, self.now)


def show_batch(row: BoardRow, shop: Shop, formats: Formats, now: datetime, plan: PlanWords) -> BoardBatch:
    """Returns a batch as the pages show it; times on the plan's day have no weekday."""
    return BoardBatch(row, shop, formats, now, plan.of_batch(row.key, work_key(row.order_number, row.part)))


def outcome_of(row: BoardRow, shop: Shop) -> FloatOutcome:
    """Returns what becomes of a batch: with its real start once it was started, until then with the planned
    one."""
    float_plan = read_float_plan(row.float_plan)
    return _outcome(float_plan, float_plan.start_to_judge(row.started_at, row.inflate_by), shop.certainty)


def verdict_now(promised: str, state: OrderState, rows: Iterable[BoardRow], shop: Shop) -> Verdict:
    """Returns how long an open order lasts as its batches were started or are planned; as promised once it is no
    longer open."""
    verdicts = [outcome_of(row, shop).verdict for row in rows if row.quantity]
    return worst(verdicts) if verdicts and state is OrderState.OPEN else Verdict(promised)


@lru_cache(maxsize=4096)
def _outcome(float_plan: FloatPlan, start: datetime, certainty: Certainty) -> FloatOutcome:
    """Returns what becomes of a batch that is started then. It is kept, because a board asks for the same often."""
    return float_plan.outcome(start, certainty)


def _was_started_early(row: BoardRow, outcome: FloatOutcome) -> bool:
    """Returns whether a batch is not safe because it was started before it should be."""
    if row.started_at is None or row.not_before is None or row.started_at >= row.not_before:
        return False
    return outcome.verdict is not Verdict.SAFE
