"""How much more of the processor's time a page takes when 1,000 stored orders become many more, as a ratio.

Skipped unless asked for: pytest tests/speed/test_speed_growth.py --benchmark-only -n0 --orders 1000000. Nothing is
asserted about time.
"""

import shutil
import time

import pytest

from app import create_app
from app.config import OWN_HOSTS, Config
from tests.many_orders import grow

FEW, TIMES = 1_000, 15
PAGES = (
    *("/bench", "/bench/staff", "/bench/fetch-list", "/pickups/", "/counter/", "/counter/orders", "/counter/weeks"),
    *(
        "/counter/callers?customer=lunn",
        "/counter/callers?phone=96011",
        "/counter/orders?q=1001",
        "/counter/orders?q=lunn",
        "/counter/callers?customer=zebedee",
        "/counter/orders?q=zebedee",
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
def browsers(demo_now, many_years, tmp_path_factory):
    """Browsers of a shop with few orders and of one with many, each in this process."""
    few = shutil.copy(demo_now, tmp_path_factory.mktemp("few") / "shop.sqlite")
    grow(few, FEW)
    return [create_app(Config(f"sqlite:///{file}", OWN_HOSTS)).test_client() for file in (few, many_years)]


@pytest.mark.parametrize("path", PAGES)
def test_a_page_of_a_shop_that_grew(note, browsers, many, path):
    """Asked by turns, so that what else the machine does slows both."""
    found = [[], []]
    for _ in range(TIMES):
        for browser, seconds in zip(browsers, found, strict=True):
            began = time.process_time()
            answer = browser.get(path)
            seconds.append(time.process_time() - began)
            assert answer.status_code in (200, 302, 303), answer.text[:300]
    few, grown = (min(seconds) for seconds in found)
    note(f"{path}, from {FEW:,} to {many:,} orders", grown / few, f"× ({1000 * grown:.1f} ms)", aim=1.1)
