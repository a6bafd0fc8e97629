"""This module words the plan of the whole bench: when a batch is worked on, which order is late, what changed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby

from app.actions.records.open_work import order_number_of
from app.planning.roster import ShiftHours, StaffChange
from app.planning.schedule import Shortage
from app.store.queries.plan import PlanChange, SavedBlock, SavedDelay, SavedPlan, SavedWork
from app.web.formats import Formats
from app.web.wording.bench import MOST_NAMED, shortage_words
from app.web.wording.hours import clock_change_words, hours_words


@dataclass(frozen=True, slots=True)
class PlanWords:
    """The plan as seen from a day; times on that day have no weekday."""

    formats: Formats
    day: date
    blocks: Mapping[str, Sequence[SavedBlock]]
    finish_starts: Mapping[str, datetime]
    delays: Mapping[str, SavedDelay]

    @classmethod
    def of(cls, plan: SavedPlan, formats: Formats, day: date) -> "PlanWords":
        """Returns the words of a plan as seen from this day."""
        by_key = sorted(plan.blocks, key=lambda block: (block.key, block.start))
        blocks = {key: tuple(of_batch) for key, of_batch in groupby(by_key, key=lambda block: block.key)}
        return cls(formats, day, blocks, plan.finish_starts, {delay.order: delay for delay in plan.delays})

    def of_batch(self, key: str, order: str) -> "PlanOfBatch":
        """Returns what the plan says of one batch. order: the key of its order's work."""
        return PlanOfBatch(
            self.day, tuple(self.blocks.get(key, ())), self.finish_starts.get(order), self.delays.get(order)
        )

    def finish(self, order: str) -> str:
        """Returns the latest start of an order's finishing; empty when it is not in the plan."""
        return self.of_batch("", order).finish(self.formats)

    def late(self, order: str) -> str:
        """Returns that an order will be late; empty when it will not."""
        return self.of_batch("", order).late(self.formats)


@dataclass(frozen=True, slots=True)
class PlanOfBatch:
    """What the plan says of one batch, as seen from a day. finish_start: the latest start of its order's finishing.
    delay: why its order will be late. Both are None if the plan has none."""

    day: date
    blocks: tuple[SavedBlock, ...]
    finish_start: datetime | None
    delay: SavedDelay | None

    def times(self, formats: Formats) -> str:
        """Returns when the batch is worked on, “8:10 to 8:40 with 2 people, 9:00 to 9:20”; empty when it is not in
        the plan."""
        return ", ".join(self._time(block, formats) for block in self.blocks)

    def _time(self, block: SavedBlock, formats: Formats) -> str:
        start = formats.short_moment(block.start, self.day)
        end = formats.short_moment(block.end, formats.local(block.start).date())
        return f"{start} to {end}{f' with {block.staff} people' if block.staff > 1 else ''}"

    def finish(self, formats: Formats) -> str:
        """Returns the latest start of its order's finishing; empty when there is none."""
        return formats.short_moment(self.finish_start, self.day) if self.finish_start else ""

    def late(self, formats: Formats) -> str:
        """Returns that its order will be late; empty when it will not."""
        return delay_sentence(self.delay, formats, self.day) if self.delay else ""


def delay_sentence(delay: SavedDelay, formats: Formats, day: date) -> str:
    """Returns that an order can't be ready in time, and when it will be, as the rest of a sentence about it.

    If it is not proved that the order can't be ready, it says “may not be ready”.
    """
    cannot = "can't be ready" if delay.proved else "may not be ready"
    by = formats.short_moment(delay.ready_by, day)
    if delay.ready_at is None:
        return f"{cannot} by {by}, nor on the next days"
    return f"{cannot} by {by}, only at about {formats.short_moment(delay.ready_at, day)}"


def delay_reason(delay: SavedDelay, formats: Formats) -> str:
    """Returns a sentence that says why an order is late, by the minimum cut."""
    if delay.end <= delay.start:
        own = [one for one in delay.work if one.order == delay.order]
        left = _work_words(own, formats) or f"{formats.minutes(-(-delay.short_seconds // 60))} of work"
        return f"The time to be ready has passed, and there is still {left} to do."
    short = Shortage(delay.short_seconds, delay.short_seconds, (), delay.start, delay.end, delay.gas)
    work = f" These hours are needed for {_needed_for(delay.work, formats)}." if delay.work else ""
    return f"{shortage_words(short, formats)}.{work}"


def _needed_for(work: Sequence[SavedWork], formats: Formats) -> str:
    """Returns the work of each order, “order 1005 (40 min of filling and 10 min of finishing) and order 1001 (…)”,
    of at most MOST_NAMED orders; that of the others is added up."""
    by_number: dict[str, list[SavedWork]] = {}
    for share in work:
        by_number.setdefault(order_number_of(share.order), []).append(share)
    named = [f"order {number} ({_work_words(shares, formats)})" for number, shares in by_number.items()]
    rest = [share for shares in [*by_number.values()][MOST_NAMED:] for share in shares]
    if (more := len(named) - MOST_NAMED) > 0:
        named[MOST_NAMED:] = [f"{more} more order{'s' if more > 1 else ''} ({_work_words(rest, formats)})"]
    *first, last = named
    return f"{', '.join(first)} and {last}" if first else last


def _work_words(work: Sequence[SavedWork], formats: Formats) -> str:
    """Returns the work of orders, “40 min of filling and 10 min of finishing”; empty when there is none."""
    seconds = {
        "filling": sum(share.fill_seconds for share in work),
        "finishing": sum(share.finish_seconds for share in work),
    }
    return " and ".join(f"{formats.minutes(-(-of_it // 60))} of {what}" for what, of_it in seconds.items() if of_it)


def news_sentence(news: PlanChange, formats: Formats, day: date) -> str:
    """Returns a sentence about a change of the plan."""
    was, now = (formats.short_moment(at, day) if at else "" for at in (news.was, news.now))
    if news.batch:
        return f"{news.batch}: start by {now} instead of {was}."
    number = order_number_of(news.order)
    if not now:
        return f"Order {number}: can't be ready on the next days."
    if not was:
        return f"Order {number}: ready at about {now}."
    return f"Order {number}: ready at about {now} instead of {was}."


def shift_words(shift: ShiftHours, formats: Formats, length: timedelta | None = None) -> str:
    """Returns a shift in words, “08:00 to 12:00: 2 people”. length: how long it really is on its date; None for a
    weekday's."""
    words = f"{hours_words(*shift.minutes, formats)}: {_people(shift.staff) if shift.staff else 'nobody'}"
    change = clock_change_words(*shift.minutes, length, formats) if length is not None else ""
    return f"{words} ({change})" if change else words


def change_words(change: StaffChange, formats: Formats) -> str:
    """Returns a change of staff in words: “1 person fewer from 13:00 to 18:00”."""
    hours = hours_words(change.starts, change.ends, formats)
    return f"{_people(abs(change.by))} {'more' if change.by > 0 else 'fewer'} from {hours}"


def _people(number: int) -> str:
    return "1 person" if number == 1 else f"{number} people"
