"""An open page renews itself: what others change appears, and what this hand is doing stays."""

import re

import pytest
from playwright.sync_api import expect

from app.planner import Planner
from app.quoting.states import TapAction
from tests.browser.gestures import burst, count_field, open_ticket, progress, tap

pytestmark = pytest.mark.browser

POLL_MS = 10_000
LOST = re.compile("connection-lost")


def _is_poll(address):
    return "v=" in address and "/static/" not in address


@pytest.fixture
def page(tablet):
    return tablet(alone=True)


@pytest.fixture
def watched_time(page):
    """The page's own clock goes on only when told, so that no test waits for the next poll."""
    page.clock.install()
    return page.clock


def _next_poll(page, clock, polls=1):
    """Lets the page poll, and gives the statuses it was answered with."""
    statuses = []
    for _ in range(polls):
        with page.expect_response(lambda answer: _is_poll(answer.url)) as answer:
            clock.run_for(POLL_MS)
        statuses.append(answer.value.status)
        expect(page.locator(".htmx-request")).to_have_count(0)  # or the next leap of the clock cuts the answer off
    return statuses


def test_an_order_taken_elsewhere_appears_on_an_open_bench(page, served, watched_time):
    page.goto("/bench")
    expect(page.locator(".batch")).to_have_count(0)
    number = served.put_order()
    assert _next_poll(page, watched_time) == [200]
    expect(page.locator(f"#batch-{number}-1")).to_be_visible()
    expect(page.locator("#connection")).to_have_attribute("data-connection", "ok")


def test_after_a_change_the_page_asks_with_its_new_version(page, served, watched_time):
    page.goto("/bench")
    served.put_order()
    Planner(served.database).plan_now()  # or the server's own does, some time between two polls
    assert _next_poll(page, watched_time, polls=3) == [200, 204, 204]


def test_what_was_folded_open_stays_open_and_is_renewed(page, served, watched_time):
    done, *_ = [served.put_started_order() for _ in range(3)]
    page.goto("/bench")
    fold = page.locator("details.sizer")
    fold.locator("summary").click()
    expect(fold.get_by_role("link")).to_have_count(3)
    served.tap(done, TapAction.FINISH)
    assert _next_poll(page, watched_time) == [200]
    expect(fold.get_by_role("link")).to_have_count(2)
    expect(fold.get_by_role("link").first).to_be_visible()


def test_renewals_do_not_pile_up(page, served, watched_time):
    open_ticket(page, served.put_started_order())
    for _ in range(3):
        tap_at_once(page, "red")
    asked = []
    page.on("request", lambda request: asked.append(request.url) if _is_poll(request.url) else None)
    _next_poll(page, watched_time, polls=3)
    assert len(asked) == 3


def tap_at_once(page, colour):
    """A tap on a page whose clock stands still: the pause is the hand's, not the page's."""
    with page.expect_response("**/taps"):
        tap(burst(page, colour))


def test_a_change_elsewhere_leaves_the_place_on_the_page(page, served, watched_time):
    numbers = [served.put_order() for _ in range(10)]
    page.goto("/bench")
    page.locator(f"#batch-{numbers[8]}-1").scroll_into_view_if_needed()
    place = page.evaluate("scrollY")
    assert place > 0
    served.put_order(customer="Liv Berg")
    assert _next_poll(page, watched_time) == [200]
    expect(page.locator(".batch", has_text="Liv Berg")).to_have_count(1)
    assert page.evaluate("scrollY") == place


def test_a_count_half_typed_survives_a_renewal(page, served, tablet, watched_time):
    number = served.put_started_order()
    open_ticket(page, number)
    count_field(page).press_sequentially("4")
    other = tablet()
    open_ticket(other, number)
    tap(burst(other, "red"))
    assert _next_poll(page, watched_time) == [200]
    expect(progress(page)).to_contain_text("1 burst")
    expect(count_field(page)).to_have_value("4")
    expect(count_field(page)).to_be_focused()


def test_a_tap_elsewhere_appears_on_an_open_ticket(page, served, tablet, watched_time):
    number = served.put_order()
    open_ticket(page, number)
    other = tablet()
    open_ticket(other, number)
    tap(other.get_by_role("button", name="All 5 filled"))
    _next_poll(page, watched_time)
    expect(progress(page)).to_contain_text("5 of 5 filled")


def test_an_order_filled_at_the_bench_is_ready_for_its_steps_on_an_open_list_of_pickups(page, served, watched_time):
    number = served.put_order()
    page.goto("/pickups/")
    order = page.locator(f"#order-{number}")
    if order.count() == 0:  # late in the evening it leaves tomorrow
        page.get_by_label("The day after").click()
    expect(order.locator(f"#step-{number}")).to_have_count(0)
    served.tap(number, TapAction.FINISH)
    _next_poll(page, watched_time)
    expect(order.locator(f"#step-{number}")).to_be_visible()


def test_a_silent_server_is_told_without_a_tap_and_so_is_its_return(page, served, watch, watched_time):
    watch.expected = ("ERR_INTERNET_DISCONNECTED", "Failed to fetch")
    served.put_order()
    page.goto("/bench")
    page.context.set_offline(True)
    watched_time.run_for(POLL_MS)
    expect(page.locator("#connection")).to_have_attribute("data-connection", "lost")
    expect(page.locator(".batch")).to_have_count(1)
    page.context.set_offline(False)
    _next_poll(page, watched_time)
    expect(page.locator("#connection")).to_have_attribute("data-connection", "ok")
