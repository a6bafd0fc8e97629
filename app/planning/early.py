"""This module says why it is too early to start a batch, and from when it may be started."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from app.planning.bench_window import BenchWindow
from app.planning.window import Certainty, FloatPlan, Limit


class EarlyReason(StrEnum):
    """Why a batch must wait. CLOSED: it would last, but the shop is not open yet. SINKS: too few would still be up
    at the end. LIGHT: latex would be in the light for too long."""

    CLOSED = "closed"
    SINKS = "sinks"
    LIGHT = "light"


@dataclass(frozen=True, slots=True)
class Early:
    """Why a batch must wait, and from when it may be started. no_earlier: whether no start is safe, so that it is
    started as late as possible."""

    reason: EarlyReason
    starts_from: datetime
    no_earlier: bool

    @property
    def costs_float_time(self) -> bool:
        """Whether its balloons last less well if it is started now."""
        return self.reason is not EarlyReason.CLOSED


def why_early(
    window: BenchWindow, not_before: datetime | None, plan: FloatPlan, certainty: Certainty, now: datetime
) -> Early | None:
    """Returns why a batch must not be started now; None if it may be.

    window: when it may be filled in working hours. not_before: the earliest start that is safe, even while the shop
    is closed; None if any start is.
    """
    if not window.is_early(now):
        return None
    if not_before is None or not_before <= now:
        reason = EarlyReason.CLOSED
    else:
        limits = plan.outcome(now, certainty).limits
        is_light = Limit.LIGHT in limits and Limit.FLOAT not in limits
        reason = EarlyReason.LIGHT if is_light else EarlyReason.SINKS
    return Early(reason, window.starts_from, window.is_empty)
