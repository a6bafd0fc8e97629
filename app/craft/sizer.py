"""This module finds the batches that share a setting of the sizer, so that they can be filled one after another."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from app.physics.balloon import Gas


@dataclass(frozen=True, slots=True)
class Sized:
    """A batch of latex that is to be filled on the sizer.

    point: the key of its filling points. inches: its fill size. left: the balloons that are still to be filled.
    earliest: the earliest start of a batch that was not started yet; None when it may start at any hour.
    inflate_by: its latest start.
    """

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
    """A setting of the sizer, and the two or more batches that share it, in the order of their latest starts."""

    gas: Gas
    point: str
    inches: float
    batches: tuple[Sized, ...]

    @property
    def left(self) -> int:
        """The number of balloons that are still to be filled with this setting."""
        return sum(batch.left for batch in self.batches)

    @property
    def all_begin(self) -> tuple[datetime | None, datetime] | None:
        """The earliest and the latest moment at which all batches that were not started yet may start.

        It is None when all were started. The first moment is None when they may start at any hour; it lies after
        the second when there is no moment for all of them.
        """
        waiting = [batch for batch in self.batches if not batch.started]
        if not waiting:
            return None
        starts = [batch.earliest for batch in waiting if batch.earliest]
        return max(starts, default=None), min(batch.inflate_by for batch in waiting)


def shared_settings(batches: Iterable[Sized]) -> list[SizerSetting]:
    """Returns the settings with which two or more batches still have balloons to fill.

    They come in the order of their most urgent batch's latest start.
    """
    alike: dict[tuple[Gas, str, float], list[Sized]] = {}
    for batch in sorted(batches, key=lambda one: (one.inflate_by, one.key)):
        if batch.left > 0:
            alike.setdefault((batch.gas, batch.point, round(batch.inches, 2)), []).append(batch)
    return [
        SizerSetting(gas=gas, point=point, inches=inches, batches=tuple(found))
        for (gas, point, inches), found in alike.items()
        if len(found) > 1
    ]
