"""Which of many orders are too much together, asked of one flow again and again, against a flow made anew."""

from collections import Counter
from dataclasses import replace
from random import Random

import pytest

from app.planning.kept_load import KeptLoad
from app.planning.schedule import Batch, Case, Shift
from app.planning.too_much import find_shortage
from tests.amounts import amount
from tests.planning.old_plan.flow import largest_flow
from tests.planning.shops import HOUR, berlin
from tests.planning.test_schedule_random import bench

EIGHT = berlin(2026, 7, 11, 8)


def _orders(draw, empty, batches):
    """Orders of one to three batches, each of which fits alone; every batch comes twice, so that many are too
    much together."""
    twice = [replace(one, key=f"{one.key}{again}") for one in batches for again in ("", " again")]
    fitting = [one for one in draw.sample(twice, len(twice)) if not find_shortage(empty.with_batches([one]))]
    orders = {}
    while fitting:
        some = [fitting.pop() for _ in range(min(draw.randint(1, 3), len(fitting)))]
        orders[f"order {len(orders)}"] = some
    return orders


@pytest.mark.parametrize("chunk", range(amount(2, deep=70)))
def test_the_same_orders_are_too_much_as_in_a_flow_made_anew(chunk):
    seen = Counter()
    for seed in range(chunk * 75, (chunk + 1) * 75):
        draw, (_, batches, shifts, points) = Random(seed), bench(seed)
        empty = Case.of((), shifts, points)
        orders = _orders(draw, empty, batches)
        load = KeptLoad.of(empty, orders)
        for _ in range(4):
            asked = {*draw.sample(sorted(orders), draw.randint(0, len(orders)))}
            case = empty.with_batches([batch for key in asked for batch in orders[key]])
            short, found = find_shortage(case), load.too_much(asked)
            assert load.shortage(asked) == short, seed
            assert (found is None) == (short is None)
            if found:
                assert (found.keys, found.short_seconds) == ({*short.keys}, short.short_seconds)
                assert found.all_seconds == largest_flow(case.bench, case.load, case.begins).short
            seen[bool(found)] += 1
    assert min(seen.values()) > 2


def test_the_first_group_is_told_and_the_seconds_of_all():
    """Three hours, of which the first and the last have twice the work that they can hold."""
    empty = Case.of((), [Shift(EIGHT, EIGHT + 3 * HOUR, 1)], {})
    orders = {
        f"{hour} {place}": [Batch(f"{hour} {place}", None, 3600, EIGHT + hour * HOUR, EIGHT + (hour + 1) * HOUR)]
        for hour, batches in enumerate((2, 1, 3))
        for place in range(batches)
    }
    load = KeptLoad.of(empty, orders)
    found = load.too_much({*orders})
    assert (found.keys, found.short_seconds, found.all_seconds) == ({"0 0", "0 1"}, 3600, 3 * 3600)
    assert load.too_much({"0 1", "1 0", "2 0"}) is None
    assert load.too_much({"0 1", "2 0", "2 2"}).keys == {"2 0", "2 2"}
