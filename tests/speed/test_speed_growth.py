"""How much slower the pages get from 1,000 stored orders to many more, as a ratio.

Skipped unless asked for: pytest tests/speed --benchmark-only -n0. Nothing is asserted about time.
"""

import statistics
import time

import pytest

from tests.speed.conftest import MANY
from tests.speed.lines import line_to, served
from tests.speed.shops import fill_years

FEW, TIMES = 1_000, 9
PAGES = (
    *("/bench", "/bench/staff", "/bench/fetch-list", "/pickups/", "/counter/", "/counter/orders", "/counter/weeks"),
    *(
        "/counter/callers?customer=lunn",
        "/counter/callers?phone=96011",
        "/counter/orders?q=1001",
        "/counter/orders?q=lunn",
    ),
    *(
        "/office/review",
        "/office/review/orders",
        "/office/rentals",
        "/office/stock",
        "/office/gas",
        "/office/work-times",
    ),
)


@pytest.fixture(scope="module")
def lines(shop_file, many_years, tmp_path_factory):
    few, many = tmp_path_factory.mktemp("few"), tmp_path_factory.mktemp("many")
    with (
        served(shop_file, few, fill_years(FEW)) as one,
        served(many_years, many) as other,
        line_to(one) as short,
        line_to(other) as long,
    ):
        yield short, long


@pytest.mark.parametrize("path", PAGES)
def test_a_page_of_a_shop_that_grew(note, lines, path):
    few, many = (_median(line, path) for line in lines)
    note(f"{path}, from {FEW:,} to {MANY:,} orders", many / few, "× as long", aim=1.1)


def _median(line, path):
    found = []
    for _ in range(TIMES):
        began = time.perf_counter()
        answer, content = line.answer(path, None, {})
        found.append(time.perf_counter() - began)
        assert answer.status in (200, 302, 303), content[:300]
    return statistics.median(found)
