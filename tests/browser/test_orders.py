"""Is it ready? Told from any page in a moment; and an order begun on a day of the weeks ahead."""

import re

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser

TOP = ("state", "hand-over", "balance")


@pytest.mark.parametrize("start", ["/office/review", "/bench", "/help"])
def test_from_any_page_one_key_and_the_number_lead_to_the_state_of_an_order(page, served, start):
    number = served.put_started_order()
    page.goto(start)
    page.keyboard.press("Alt+f")
    page.keyboard.type(str(number))
    page.keyboard.press("Enter")
    expect(page).to_have_url(re.compile(rf"/counter/orders/{number}$"))
    for role in TOP:
        box = page.locator(f"[data-role={role}]").bounding_box()
        assert box["y"] + box["height"] < 300
    expect(page.locator("[data-role=state]")).to_contain_text("0/5")
    edit = page.get_by_role("link", name="Edit").bounding_box()
    assert edit["y"] + edit["height"] < page.viewport_size["height"]


def test_the_list_follows_what_is_searched_for_and_its_address_is_that_of_the_search(page, served):
    served.put_order()
    other = served.put_order(customer="Runa Vik")
    page.goto("/counter/orders")
    rows = page.locator("[data-order]")
    expect(rows).to_have_count(2)
    page.locator("main").get_by_role("searchbox").first.fill("runa")
    expect(rows).to_have_count(1)
    expect(rows).to_have_attribute("data-order", str(other))
    expect(page).to_have_url(re.compile("runa"))
    page.reload()
    expect(rows).to_have_count(1)


def test_a_press_on_a_day_of_the_weeks_ahead_begins_an_order_there(page, served):
    page.goto("/counter/")
    page.get_by_role("link", name="Weeks ahead").click()
    day = page.locator("td[data-day]").last
    date = day.get_attribute("data-day")
    day.get_by_role("link").first.click()
    expect(page.locator("#event_start-day")).not_to_have_value("")
    page.get_by_role("link", name="Weeks ahead").click()
    page.goto(f"/counter/?day={date}")
    expect(page.locator("#event_start-day-read")).to_contain_text(str(int(date[-2:])))


def test_back_after_a_refused_and_then_saved_cancellation_shows_the_order(page, watch, served):
    watch.expected = ("422",)
    number = served.put_order()
    page.goto(f"/counter/orders/{number}")
    page.locator("#cancel summary").click()
    page.locator("#cancel").get_by_text("Entered by mistake", exact=True).click()
    page.locator("#fee").fill("999999")
    page.locator("#cancel .danger").click()
    expect(page.locator("#fee")).to_have_attribute("aria-invalid", "true")
    page.locator("#fee").fill("0")
    page.locator("#cancel .danger").click()
    expect(page.locator("[data-flash]")).to_have_count(1)
    page.go_back()
    expect(page.locator("#main [data-state=cancelled]")).to_have_count(1)
