"""What a plan must keep, known from the rules alone, and an independent model of the bench for networkx.

Nothing of `app.planning.flow` is used here: seconds, slots and the graph are made anew from the written rules.
"""

import math
from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from itertools import pairwise

import networkx as nx
from networkx.algorithms.flow import shortest_augmenting_path

from app.planning.schedule import Batch, Plan, Shift

ZERO = datetime(2020, 1, 1, tzinfo=UTC)
MICRO = timedelta(microseconds=1)


def exact(moment: datetime) -> Fraction:
    return Fraction((moment.astimezone(UTC) - ZERO) // MICRO, 1_000_000)


def windows(batches: Sequence[Batch]) -> dict[str, tuple[int, int, int]]:
    """By key: not-before rounded up, ready-by down, work up."""
    return {
        one.key: (math.ceil(exact(one.not_before)), math.floor(exact(one.ready_by)), math.ceil(one.work_seconds))
        for one in batches
    }


def hours(shifts: Sequence[Shift]) -> list[tuple[int, int, int]]:
    """The whole seconds inside each shift, and its hands."""
    return [(math.ceil(exact(one.start)), math.floor(exact(one.end)), one.hands) for one in shifts]


def hands_at(moment: int, shifts: Sequence[tuple[int, int, int]]) -> int:
    return sum(hands for start, end, hands in shifts if start <= moment < end)


def graph_of(batches: Sequence[Batch], shifts: Sequence[Shift], points: Mapping[str, int]) -> nx.DiGraph:
    """Batch → gas in a slot → slot → hands; a batch without gas goes straight to the slot."""
    when, open_hours = windows(batches), hours(shifts)
    moments = {moment for start, end, _ in (*when.values(), *open_hours) for moment in (start, end)}
    slots = list(pairwise(sorted(moments)))
    starts = [start for start, _ in slots]
    graph = nx.DiGraph()
    graph.add_nodes_from(("source", "sink"))
    for start, end in slots:
        if hands := hands_at(start, open_hours):
            graph.add_edge(start, "sink", capacity=hands * (end - start))
    for batch in batches:
        not_before, ready_by, work = when[batch.key]
        graph.add_edge("source", ("batch", batch.key), capacity=work)
        for start, end in slots[bisect_left(starts, not_before) : bisect_left(starts, ready_by)]:
            if start not in graph:
                continue
            if batch.gas is None:
                graph.add_edge(("batch", batch.key), start, capacity=work)
            else:
                graph.add_edge(("batch", batch.key), (batch.gas, start), capacity=work)
                graph.add_edge((batch.gas, start), start, capacity=points[batch.gas] * (end - start))
    return graph


def shortfall(batches: Sequence[Batch], shifts: Sequence[Shift], points: Mapping[str, int]) -> int:
    """Hand-seconds that do not fit, by networkx."""
    graph = graph_of(batches, shifts, points)
    flow = nx.maximum_flow_value(graph, "source", "sink", flow_func=shortest_augmenting_path)
    return sum(math.ceil(batch.work_seconds) for batch in batches) - flow


def begun_at(batches: Sequence[Batch], starts: Mapping[str, datetime]) -> list[Batch]:
    return [replace(batch, not_before=starts.get(batch.key, batch.not_before)) for batch in batches]


def latest_by_halving(
    batches: Sequence[Batch], shifts: Sequence[Shift], points: Mapping[str, int]
) -> dict[str, datetime]:
    """The simultaneous latest starts word for word: due last first, then by key, each by halving."""
    starts = {}
    when = windows(batches)
    for batch in sorted(batches, key=lambda one: (-when[one.key][1], one.key)):
        fits, too_late = when[batch.key][0], when[batch.key][1] + 1
        while too_late - fits > 1:
            middle = (fits + too_late) // 2
            tried = starts | {batch.key: ZERO + timedelta(seconds=middle)}
            if shortfall(begun_at(batches, tried), shifts, points):
                too_late = middle
            else:
                fits = middle
        starts[batch.key] = ZERO + timedelta(seconds=fits)
    return starts


def check_plan(plan: Plan, batches: Sequence[Batch], shifts: Sequence[Shift], points: Mapping[str, int]) -> None:
    """Raises AssertionError where a plan breaks a rule that can be read off its blocks."""
    if not plan.fits:
        assert plan.short_seconds > 0
        assert not plan.starts
        assert not plan.blocks
        return
    assert plan.short_seconds == 0
    assert plan.starts.keys() == {batch.key for batch in batches}
    _check_blocks(plan, batches)
    _check_hands(plan, batches, shifts, points)


def _check_blocks(plan: Plan, batches: Sequence[Batch]) -> None:
    when, done, first = windows(batches), Counter(), {}
    for key, start, end, hands in plan.blocks:
        begin, finish = exact(start), exact(end)
        assert begin.denominator == finish.denominator == 1
        assert when[key][0] <= begin < finish <= when[key][1]
        assert isinstance(hands, int)
        assert hands >= 1
        done[key] += hands * int(finish - begin)
        first[key] = min(start, first.get(key, start))
    assert {key: done[key] for key in when} == {key: work for key, (_, _, work) in when.items()}
    assert {key: plan.starts[key] for key in first} == first
    assert plan.splits == len(plan.blocks) - len(first)


def _check_hands(plan: Plan, batches: Sequence[Batch], shifts: Sequence[Shift], points: Mapping[str, int]) -> None:
    """Swept along time: never more hands than the shifts have, nor more at a gas than its points."""
    gas = {batch.key: batch.gas for batch in batches}
    changes: dict[int, Counter] = defaultdict(Counter)
    for start, end, hands in hours(shifts):
        if start < end:
            changes[start]["there"] += hands
            changes[end]["there"] -= hands
    for key, start, end, hands in plan.blocks:
        for moment, change in ((start, hands), (end, -hands)):
            changes[int(exact(moment))]["busy"] += change
            changes[int(exact(moment))]["at", gas[key]] += change
    now: Counter = Counter()
    for moment in sorted(changes):
        now.update(changes[moment])
        assert now["busy"] <= now["there"], moment
        for one, number in points.items():
            assert now["at", one] <= number, (moment, one)
