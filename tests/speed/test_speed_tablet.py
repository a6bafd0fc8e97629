"""When a slow tablet on a slow network first shows something of the board, with nothing kept from before.

Skipped unless asked for: pytest tests/speed --benchmark-only -n0. Chromium slows itself down (DevTools protocol):
its processor to a quarter, its network to 400 kbit/s with 400 ms there and back.
"""

import statistics

import pytest
from playwright.sync_api import sync_playwright

from tests.browser.chromium import ARGUMENTS, find_chromium
from tests.serving import running

SLOWER, ROUNDS = 4, 5
NETWORK = {"offline": False, "latency": 400, "downloadThroughput": 50_000, "uploadThroughput": 50_000}
FIRST_PAINT = """() => performance.getEntriesByName("first-contentful-paint")[0]?.startTime"""
TABLET = {"width": 820, "height": 1180}


@pytest.fixture
def tablet():
    """A browser that is slowed down and knows nothing, anew for each call."""
    if not (program := find_chromium()):
        pytest.skip("No Chromium here")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=[*ARGUMENTS])

        def open_one():
            page = browser.new_context(viewport=TABLET).new_page()
            devtools = page.context.new_cdp_session(page)
            devtools.send("Network.enable")
            devtools.send("Network.emulateNetworkConditions", NETWORK)
            devtools.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
            return page

        yield open_one
        browser.close()


def _first_paint(page, address):
    """Seconds until something of the page is seen."""
    page.goto(address)
    page.wait_for_function(FIRST_PAINT)
    seconds = page.evaluate(FIRST_PAINT) / 1000
    page.context.close()
    return seconds


def test_the_first_paint_of_a_cold_board(note, demo_now, tablet, tmp_path):
    with running(["-m", "app", "serve"], tmp_path / "log", DATABASE_URL=f"sqlite:///{demo_now}") as port:
        seconds = statistics.median(_first_paint(tablet(), f"http://127.0.0.1:{port}/bench") for _ in range(ROUNDS))
    note("first paint of a cold board on a slow tablet", seconds, "s", aim=1.5)
