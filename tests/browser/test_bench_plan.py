"""The plan of the whole bench, worked out by the server beside the pages, as a decorator meets it."""

import re
import time

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import NAMED_HOST
from tests.browser.gestures import Evening, check_order, fill_order, save_order

pytestmark = pytest.mark.browser


@pytest.fixture
def bench(tablet):
    return tablet(host=NAMED_HOST, width=820, height=1180)


def _take(page, evening, customer):
    fill_order(page, evening, customer)
    check_order(page)
    return save_order(page)


def _once_planned(page, address, selector, times=1, seconds=10):
    """The page as soon as the server has planned what was done last."""
    for _ in range(seconds * 5):
        page.goto(address)
        if page.locator(selector).count() >= times:
            return page
        time.sleep(0.2)
    raise AssertionError(f"{selector} never came up on {address}")


def _starts(page, day):
    _once_planned(page, f"/bench?day={day:%Y-%m-%d}", ".batch-plan", times=2)
    return [text.split(" to ")[0] for text in page.locator(".batch-plan").all_text_contents()]


def test_two_orders_due_together_get_starts_of_their_own(bench):
    """Whatever the hour: those that begin tonight may stand on another day than the one on which they are ready."""
    evening = Evening.of_today()
    _take(bench, evening, "Odd Larsen")
    _take(bench, evening, "Isa Brandt")
    starts = _starts(bench, evening.at(1.5))
    assert len(starts) == len(set(starts)) == 2


def test_somebody_ill_is_tried_first_and_then_kept(bench):
    evening = Evening.of_today()
    number = _take(bench, evening, "Odd Larsen")
    for day in sorted({evening.now.date(), evening.ready.date()}):
        bench.goto(f"/bench/staff?day={day:%Y-%m-%d}")
        bench.fill("#staff-from", "0:00")
        bench.fill("#staff-to", "23:59")
        bench.select_option("#staff-by", "-1")
        bench.locator("#try").click()
        late = bench.locator(".what-if").get_attribute("data-newly-late")
        told = bench.locator(".what-if").inner_text()
        bench.locator("#save").click()
        expect(bench.locator(".flash")).to_be_visible()
        expect(bench.locator(".what-if")).to_have_count(0)
    assert str(number) in late.split()
    assert re.search(rf"{number} Odd Larsen 01632 960001", told)
    _once_planned(bench, "/bench", "#risk .risk-list")
    risk = bench.locator(f"#risk [data-order='{number}']")
    expect(risk).to_contain_text("Odd Larsen 01632 960001")
    expect(risk).to_have_attribute("data-proved", "true")
    expect(risk).to_have_attribute("data-ready-by", re.compile(rf"^{evening.ready:%Y-%m-%dT%H:%M}"))
    expect(risk).to_contain_text(f"{evening.ready:%H:%M}")
    risk.locator("a").first.click()
    expect(bench).to_have_url(re.compile(rf"/counter/orders/{number}$"))
    expect(bench.locator("#ready-status")).to_have_attribute("data-ready", "late")
