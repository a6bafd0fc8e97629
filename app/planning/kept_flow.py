"""This module keeps a flow of work through the bench and changes it step by step: a batch is added or removed, or
its hours change, and only the work that must move is moved.

What a bench, a gas and a slot are is said in `app.planning.flow`. Work that finds no free hands in its hours
pushes other work aside, along the shortest way to free hands (Edmonds & Karp, Journal of the ACM 19, 248, 1972).
When there is no way, the batches that were met are the smallest set that is too much for its hours.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from app.planning.arrays import np
from app.planning.flow import Bench, slots_of
from app.planning.slot import NO_LIMIT, FlowJob, Name, Slot

N = TypeVar("N", bound=Name)
Way = dict[Name, "tuple[Name, Slot] | None"]
"""By each batch that was met: the batch that can take its place, and the slot in which it can; None for the batch
that needs room."""


@dataclass(slots=True)
class KeptFlow:
    """A flow of jobs through the slots of a bench, which are in order of time.

    starts: when each slot starts. closed: by gas, a mark at each slot from which no room can be found, as long as
    no work is taken back and no job in it gets longer hours. met: the batches that were met when room was last
    sought in vain, but for those in slots that were closed before.
    """

    slots: list[Slot]
    starts: list[int]
    jobs: dict[Name, FlowJob] = field(default_factory=dict)
    met: list[Name] = field(default_factory=list)
    closed: list[bytearray] = field(default_factory=list)

    @classmethod
    def empty(cls, bench: Bench, moments: Iterable[int] = ()) -> "KeptFlow":
        """Returns the flow without any job. moments: seconds at which slots end that may be known beforehand."""
        ends = np.array([*moments], np.int64)
        cut = slots_of(bench, ends, ends)
        columns = (cut.starts, cut.starts + cut.lengths, cut.hands, cut.points.T)
        slots = [
            Slot(start=start, end=end, hands=hands, points=points)
            for start, end, hands, points in zip(*(column.tolist() for column in columns), strict=True)
        ]
        return cls(slots, [slot.start for slot in slots])

    def add(self, batch: Name, job: FlowJob) -> int:
        """Adds a job and returns the hand-seconds for which there is no room; 0 when all work fits."""
        self.expect({batch: job})
        return self.fill(batch)

    def expect(self, jobs: Mapping[N, FlowJob]) -> None:
        """Takes jobs in that are filled later."""
        for batch, job in jobs.items():
            self.jobs[batch] = job
        self._cut_at_all((job.begin, job.end) for job in jobs.values())

    def copy(self) -> "KeptFlow":
        """Returns the same flow, which changes on its own."""
        jobs = {batch: job.copy() for batch, job in self.jobs.items()}
        return KeptFlow([slot.copy() for slot in self.slots], [*self.starts], jobs)

    def on(self, bench: Bench) -> "KeptFlow":
        """Returns the same flow on a bench that has all hands and points of this one and more, which are free."""
        old, new = self.copy(), KeptFlow.empty(bench)
        for flow, spans in ((old, new.slots), (new, old.slots)):
            flow._cut_at_all((span.start, span.end) for span in spans)
        new._cut_at_all((job.begin, job.end) for job in old.jobs.values())
        new.jobs = old.jobs
        for slot in old.slots:
            same = new.slots[bisect_left(new.starts, slot.start)]
            for user, seconds in slot.users.items():
                same.give(user, old.jobs[user].gas, seconds)
        return new

    def remove(self, batch: Name) -> None:
        """Removes a job."""
        self._withdraw(batch, self.jobs[batch].begin, self.jobs[batch].end)
        del self.jobs[batch]

    def begin_at(self, batch: Name, second: int) -> int:
        """Lets a job begin at another second and returns the hand-seconds for which there is no room."""
        self._cut_at(second)
        self._withdraw(batch, self.jobs[batch].begin, second)
        self.jobs[batch].begin = second
        if not self.fill(batch):
            self.closed = []  # with longer hours it can make room for others
        return self.jobs[batch].left

    def end_at(self, batch: Name, second: int) -> None:
        """Lets a job end at a later second; `fill` uses the new hours."""
        self._cut_at(second)
        self.jobs[batch].end = second

    def fill(self, batch: Name) -> int:
        """Gives a job the latest free hands within its hours, then those for which others make way. Returns the
        hand-seconds that are left."""
        job = self.jobs[batch]
        maybe_free = self.slots_before(job.end, job.begin) if job.left and not self.closed else ()
        for slot in maybe_free:
            if slot.free and (given := min(slot.free, slot.free_of[job.gas], job.left)):
                slot.give(batch, job.gas, given)
                job.left -= given
                if not job.left:
                    break
        while job.left and (way := self._way_from(batch)):
            self._push(*way)
        return job.left

    def no_room_within(self, movers: Collection[Name], met: set[Name]) -> int:
        """Returns how many seconds later these jobs, which move together, can end without any room for those of
        them that were met; adds the batches that are met on the way. `NO_LIMIT` when there never is room."""
        ends, seconds = {name: self.jobs[name].end for name in movers}, 0 if self.slots else NO_LIMIT
        while seconds < NO_LIMIT:
            stuck = [name for name in movers if name in met]
            seconds = min(self._seconds_to_open(self.jobs[name], ends[name]) for name in stuck)
            for name in movers:
                self.jobs[name].end = ends[name] + seconds + 1
            if self.has_room(stuck, met):
                break
        for name in movers:
            self.jobs[name].end = ends[name]
        return seconds

    def has_room(self, batches: Iterable[Name], met: set[Name]) -> bool:
        """Returns whether one of these jobs finds room where nothing is closed; else adds the batches that are
        met."""
        for batch in batches:
            if self._way_from(batch):
                return True
            met.update(self.met)
        return False

    def _seconds_to_open(self, job: FlowJob, end: int) -> int:
        """Returns how long after a second the next slot starts that is not closed to a job."""
        place = self.closed[job.gas].find(0, bisect_left(self.starts, max(end, job.begin)))
        return self.starts[place] - end if place >= 0 else NO_LIMIT

    def short(self, batches: Iterable[Name]) -> int:
        """Returns the hand-seconds of these jobs that have no place."""
        return sum(self.jobs[batch].left for batch in batches)

    def too_much(self, batches: Iterable[Name]) -> set[Name]:
        """Gives these jobs as much room as there is, and returns the smallest set of batches that are too much for
        their hours. Other jobs that share these hours must have as much room already."""
        self.closed, met = [], set[Name]()
        for batch in [one for one in batches if self.jobs[one].left]:
            met.update(self.met if self.fill(batch) else ())
        return met

    def slots_before(self, end: int, begin: int = 0) -> Iterator[Slot]:
        """Yields the slots between two seconds, the last one first."""
        first, last = bisect_left(self.starts, begin), bisect_left(self.starts, end)
        return reversed(self.slots[first:last])

    def slots_after(self, begin: int) -> list[Slot]:
        """Returns the slots that start at a second or later."""
        return self.slots[bisect_left(self.starts, begin) :]

    def _withdraw(self, batch: Name, begin: int, end: int) -> None:
        """Takes back all work on a batch between two seconds."""
        job = self.jobs[batch]
        for slot in self.slots_before(end, begin):
            if given := slot.users.get(batch):
                slot.take(batch, job.gas, given)
                job.left += given
                self.closed = []

    def _way_from(self, batch: Name) -> tuple[Name, Slot, Way] | None:
        """Returns the shortest way on which a job finds room: the last batch on it, the slot in which that one has
        room, and how it was met. Returns None when there is no way.

        A batch can take the place of others of its gas; where its gas is free, that of all others.
        """
        way: Way = {batch: None}
        queue, slots, jobs = [batch], self.slots, self.jobs
        seen = [bytearray(one) for one in self.closed or self._none_closed()]
        for mover in queue if slots else ():
            gas, first = jobs[mover].gas, bisect_left(self.starts, jobs[mover].begin)
            of_gas, place = seen[gas], bisect_left(self.starts, jobs[mover].end)
            while (place := of_gas.rfind(0, first, place)) >= 0:
                slot, of_gas[place] = slots[place], 1
                is_free = slot.free_of[gas] > 0
                if is_free and slot.free:
                    return mover, slot, way
                for one in seen if is_free else ():
                    one[place] = 1
                for user in slot.users:
                    if user not in way and (is_free or jobs[user].gas == gas):
                        way[user] = mover, slot
                        queue.append(user)
        self.met, self.closed = queue, seen
        return None

    def _none_closed(self) -> list[bytearray]:
        return [bytearray(len(self.slots)) for _ in (self.slots[0].free_of if self.slots else ())]

    def _push(self, last: Name, room: Slot, way: Way) -> None:
        """Moves as much work as can be along a way, so that the job at its beginning has less work left."""
        steps, batch = [(last, room)], last
        most = min(room.free, room.free_of[self.jobs[last].gas])
        while step := way[batch]:
            mover, slot = step
            most = min(most, slot.users[batch])
            if self.jobs[mover].gas != self.jobs[batch].gas:
                most = min(most, slot.free_of[self.jobs[mover].gas])
            steps.append(step)
            batch = mover
        most = min(most, self.jobs[batch].left)
        self.jobs[batch].left -= most
        out_of: Slot | None = None
        for mover, into in reversed(steps):
            gas = self.jobs[mover].gas
            if out_of:
                out_of.take(mover, gas, most)
            into.give(mover, gas, most)
            out_of = into

    def _cut_at_all(self, spans: Iterable[tuple[int, int]]) -> None:
        """Cuts the slots in which the ends of these spans of seconds lie."""
        for second in sorted({second for span in spans for second in span}):
            self._cut_at(second)

    def _cut_at(self, second: int) -> None:
        """Cuts the slot in which this second lies in two, if need be."""
        place = bisect_right(self.starts, second) - 1
        if place < 0 or not self.slots[place].start < second < self.slots[place].end:
            return
        whole = self.slots[place]
        early = Slot(whole.start, second, whole.hands, whole.points)
        late = Slot(second, whole.end, whole.hands, whole.points)
        self.slots[place : place + 1] = early, late
        self.starts.insert(place + 1, second)
        for marks in self.closed:
            marks.insert(place, marks[place])
        self._share(whole, early, late)

    def _share(self, whole: Slot, early: Slot, late: Slot) -> None:
        """Gives the work of a slot to its two parts, as much as can be to the late one."""
        total = dict.fromkeys((self.jobs[user].gas for user in whole.users), 0)
        for user, seconds in whole.users.items():
            total[self.jobs[user].gas] += seconds
        first = {gas: max(0, seconds - late.free_of[gas]) for gas, seconds in total.items()}
        too_much = sum(total.values()) - sum(first.values()) - late.free
        for gas, seconds in total.items():
            more = max(0, min(too_much, seconds - first[gas], early.free_of[gas] - first[gas]))
            first[gas] += more
            too_much -= more
        for user, seconds in whole.users.items():
            gas = self.jobs[user].gas
            in_first = min(seconds, first[gas])
            first[gas] -= in_first
            if in_first:
                early.give(user, gas, in_first)
            if seconds > in_first:
                late.give(user, gas, seconds - in_first)
