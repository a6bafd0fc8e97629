"""The sizer: which batches share a setting, so that alike ones can be filled one after another."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from app.physics.balloon import Gas


@dataclass(frozen=True, slots=True)
class Sized:
    """A batch of latex on its way to the sizer. point: the kind of filling point. left: balloons still to fill.
    earliest: None at any hour; before it a batch that is not begun must wait. inflate_by: its latest start."""

    key: str
    gas: Gas
    point: str
    inches: float
    left: int
    started: bool
    earliest: datetime | None
    inflate_by: datetime


@dataclass(frozen=True, slots=True)
class SizerSetting:
    """batches: by their latest start, at least two."""

    gas: Gas
    point: str
    inches: float
    batches: tuple[Sized, ...]

    @property
    def left(self) -> int:
        return sum(batch.left for batch in self.batches)

    @property
    def all_begin(self) -> tuple[datetime | None, datetime] | None:
        """From and to when all that are not begun may be; the first is after the second where there is no such
        time, and None where it is any. None when all are begun."""
        waiting = [batch for batch in self.batches if not batch.started]
        if not waiting:
            return None
        starts = [batch.earliest for batch in waiting if batch.earliest]
        return max(starts, default=None), min(batch.inflate_by for batch in waiting)


def shared_settings(batches: Iterable[Sized]) -> list[SizerSetting]:
    """Settings with work left in two batches or more, by the earliest latest start."""
    alike: dict[tuple[Gas, str, float], list[Sized]] = {}
    for batch in sorted(batches, key=lambda one: (one.inflate_by, one.key)):
        if batch.left > 0:
            alike.setdefault((batch.gas, batch.point, round(batch.inches, 2)), []).append(batch)
    return [
        SizerSetting(gas=gas, point=point, inches=inches, batches=tuple(found))
        for (gas, point, inches), found in alike.items()
        if len(found) > 1
    ]
