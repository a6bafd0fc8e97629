"""Dates and goods as they are typed at the counter: what was understood stands beside them at once."""

from datetime import timedelta

import pytest
from playwright.sync_api import expect

from app.web.locales import typed_date
from tests.browser.gestures import Evening

pytestmark = pytest.mark.browser


def _understood(page, field="event_start-day"):
    return page.locator(f"#{field}-read [data-day]")


def test_a_typed_date_is_read_back_beside_its_field_and_written_out_when_it_is_left(page):
    page.goto("/counter/")
    page.locator("#event_start-day").press_sequentially("31 feb")
    expect(page.locator("#event_start-day-read .problem")).to_be_visible()
    page.fill("#event_start-day", "tomorrow")
    tomorrow = Evening.of_today().now.date() + timedelta(days=1)
    expect(_understood(page)).to_have_attribute("data-day", tomorrow.isoformat())
    page.press("#event_start-day", "Tab")
    expect(page.locator("#event_start-day")).to_have_value(typed_date("en_GB", tomorrow))


def test_a_date_that_is_left_before_it_was_read_is_written_out_too(page):
    page.goto("/counter/")
    page.fill("#event_start-day", "tomorrow")
    page.fill("#event_start-hour", "18")
    tomorrow = Evening.of_today().now.date() + timedelta(days=1)
    expect(page.locator("#event_start-day")).to_have_value(typed_date("en_GB", tomorrow))


def test_a_date_is_picked_from_the_calendar(page):
    page.goto("/counter/")
    page.locator("#event_start-day-calendar").evaluate(
        "one => { one.value = '2031-05-04'; one.dispatchEvent(new Event('change', { bubbles: true })); }"
    )
    expect(page.locator("#event_start-day")).to_have_value("2031-05-04")
    expect(_understood(page)).to_have_attribute("data-day", "2031-05-04")


def test_the_button_opens_the_calendar_at_the_typed_date(page):
    page.goto("/counter/")
    page.fill("#event_start-day", "4 may 2031")
    expect(_understood(page)).to_have_attribute("data-day", "2031-05-04")
    page.press("#event_start-day", "Alt+ArrowDown")
    page.locator("[data-picks=event_start-day]").click()
    assert page.locator("#event_start-day-calendar").input_value() == "2031-05-04"


def test_without_scripts_the_date_is_read_back_after_check(tablet):
    page = tablet(java_script_enabled=False)
    page.goto("/counter/")
    expect(page.locator("[data-picks=event_start-day]")).to_be_hidden()
    page.fill("#event_start-day", "tomorrow")
    page.press("#event_start-day", "Enter")
    tomorrow = Evening.of_today().now.date() + timedelta(days=1)
    expect(_understood(page)).to_have_attribute("data-day", tomorrow.isoformat())


def test_an_earlier_end_is_said_to_be_on_the_next_day_while_it_is_typed(page):
    day = Evening.of_today().now.date()
    page.goto("/counter/")
    page.fill("#event_start-day", day.isoformat())
    page.fill("#event_start-hour", "21:00")
    page.fill("#lasts_until-hour", "02:00")
    expect(page.locator("#ends-next-day")).to_have_attribute("data-ends", (day + timedelta(days=1)).isoformat())
    page.fill("#lasts_until-hour", "23:00")
    expect(page.locator("#ends-next-day")).not_to_have_attribute("data-ends", (day + timedelta(days=1)).isoformat())


def test_enter_takes_the_balloon_of_that_size_and_names_it(page):
    page.goto("/counter/")
    page.locator("#lines-0-find").press_sequentially("11 in")
    expect(page.locator("#finds-0 [data-text='11 in']")).to_be_visible()
    page.keyboard.press("Enter")
    expect(page.locator("#lines-0-quantity")).to_be_focused()
    expect(page.locator("#taken-0")).to_contain_text("11 in latex")


def test_a_slip_of_the_keyboard_takes_a_second_enter(page):
    page.goto("/counter/")
    page.locator("#lines-0-find").press_sequentially("11 in latx")
    expect(page.locator("#finds-0 [data-meant]")).to_be_visible()
    page.keyboard.press("Enter")
    expect(page.locator("#what-0-0")).to_be_focused()
    expect(page.locator("#lines-0-find")).to_have_value("11 in latx")
    page.keyboard.press("Enter")
    expect(page.locator("#taken-0")).to_contain_text("11 in latex")
