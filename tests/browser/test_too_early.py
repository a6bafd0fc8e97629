"""A start before its hour: the ticket asks, with and without JavaScript, and one press more begins."""

from datetime import UTC, datetime, timedelta

import pytest
from playwright.sync_api import expect

from tests.browser.gestures import open_ticket, progress, tap

pytestmark = pytest.mark.browser


@pytest.fixture
def number(served):
    """To be up in fourteen hours: not to be started for about four."""
    now = datetime.now(UTC).replace(second=0, microsecond=0)
    hours = {"ready_by": 6, "event_start": 7, "lasts_until": 14}
    return served.put_order(**{name: now + timedelta(hours=ahead) for name, ahead in hours.items()})


@pytest.mark.parametrize("script", [True, False], ids=["with JavaScript", "without"])
def test_the_ticket_asks_before_it_begins_too_early(tablet, watch, number, script):
    watch.expected = ("422",)
    page = tablet(java_script_enabled=script)
    open_ticket(page, number)
    tap(page.locator("#tap-start"))
    expect(page.locator("[data-question=too-early]")).to_be_visible()
    expect(page.locator("#ticket")).to_have_attribute("data-state", "early")
    tap(page.locator("#tap-sure"))
    expect(page.locator("#ticket")).to_have_attribute("data-state", "started")
    expect(progress(page)).to_contain_text("0 of 5 filled")


def test_waiting_leads_back_to_start_on_the_ticket_without_loading_the_page_again(page, watch, number):
    watch.expected = ("422",)
    open_ticket(page, number)
    tap(page.locator("#tap-start"))
    page.evaluate("window.isSamePage = true")
    tap(page.locator("#tap-wait"))
    expect(page.locator("#tap-start")).to_be_focused()
    expect(page.get_by_role("alert")).to_have_count(0)
    assert page.evaluate("window.isSamePage")


def test_a_double_click_on_start_only_asks(page, watch, number):
    watch.expected = ("422",)
    open_ticket(page, number)
    page.locator("#tap-start").dblclick()
    expect(page.locator("[data-question=too-early]")).to_be_visible()
    expect(page.locator("#ticket")).to_have_attribute("data-state", "early")


def test_waiting_on_the_board_keeps_the_focus_on_the_board(page, watch, number):
    watch.expected = ("422",)
    page.goto("/bench")
    page.locator(f"[aria-label='More about {number}-1']").click()
    tap(page.locator(f"#start-{number}-1"))
    expect(page.locator(f"#wait-{number}-1")).to_be_focused()
    tap(page.locator(f"#wait-{number}-1"))
    expect(page.locator("[data-question]")).to_have_count(0)
    expect(page.locator("#board :focus")).to_have_count(1)
