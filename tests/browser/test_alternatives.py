"""What an order can do besides being collected at once: a crew fills it there, or a part of it leaves later."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.gestures import Evening, check_order, fill_line, fill_moment, fill_order, save_order, tap, unfold

pytestmark = pytest.mark.browser


@pytest.fixture
def evening():
    return Evening.of_today()


@pytest.fixture
def party(page, evening):
    """So long after its collection that untreated 11-inch latex is down before the end; a foil beside it."""
    fill_order(page, evening)
    fill_moment(page, "event_start", evening.at(13))
    fill_moment(page, "lasts_until", evening.at(20))
    page.locator("#add-line").click()
    fill_line(page, 1, what="18 in foil", quantity="1", colours="gold")
    expect(page.locator("[data-can-make]")).to_have_attribute("data-verdict", "wont-last")
    return page


def test_a_crew_is_sent_with_one_press_and_packs_first(party):
    page = party
    expect(page.locator("#crew")).to_be_hidden()
    page.locator("details", has=page.locator("#alternative-0-venue")).locator("summary").click()
    page.locator("#alternative-0-venue").click()
    expect(page.locator("[data-can-make]")).to_have_attribute("data-verdict", "safe")
    expect(page.locator("#crew")).to_have_value("2")
    page.fill("#address", "The Corn Hall, 1 High Street")
    number = save_order(page)
    expect(page.locator("#read-back")).to_contain_text(re.compile(r"\b2\b[^.]*The Corn Hall, 1 High Street"))
    page.locator(".actions a[href^='/pickups/']").click()
    row = page.locator(f"#order-{number}")
    tap(row.locator("[data-step=packed]"))
    expect(row.locator("[data-waiting]")).to_be_visible()


def test_a_part_leaves_later_with_one_press(party):
    page = party
    expect(page.locator("#later_hand_over_time-hour")).to_be_hidden()
    page.locator("#alternative-0-later_part").click()
    expect(page.locator("[data-can-make]")).to_have_attribute("data-verdict", "safe")
    expect(page.locator("#lines-0-later")).to_be_checked()
    expect(page.locator("#lines-1-later")).not_to_be_checked()
    expect(page.locator("#later_hand_over_time-hour")).to_be_visible()
    hour = page.locator("#later_hand_over_time-hour").input_value()
    save_order(page)
    expect(page.locator("#read-back")).to_contain_text(re.compile(rf"{hour}: 5 × 11 in latex[^;]*\."))


def test_a_venue_that_an_alternative_changes_stays_changed_when_it_is_checked_again(page, evening):
    """The venue was ticked by hand; 10 m/s of wind are over the limit outdoors."""
    fill_order(page, evening)
    unfold(page, "#venue_wind")
    page.locator("label", has=page.locator("#surroundings-shade")).click()
    unfold(page, "#venue_wind")
    page.fill("#venue_wind", "10")
    check_order(page)
    expect(page.locator("[data-can-make]")).to_have_attribute("data-verdict", "risky")
    page.locator("#alternative-0-indoors").click()
    expect(page.locator("[data-can-make]")).to_have_attribute("data-verdict", "safe")
    expect(page.locator("#surroundings-indoors")).to_be_checked()
    check_order(page)
    expect(page.locator("[data-can-make]")).to_have_attribute("data-verdict", "safe")
    page.locator("#undo").click()
    expect(page.locator("#surroundings-shade")).to_be_checked()


def test_an_undone_alternative_chooses_the_balloons_again_that_were_chosen(party):
    page = party
    chosen = page.locator("#lines-0-what").input_value()
    page.locator("details", has=page.locator("#alternative-0-larger")).locator("summary").click()
    page.locator("#alternative-0-larger").click()
    expect(page.locator("#lines-0-what")).not_to_have_value(chosen)
    page.locator("#undo").click()
    expect(page.locator("#lines-0-what")).to_have_value(chosen)
    check_order(page)
    expect(page.locator("[data-can-make]")).to_have_attribute("data-verdict", "wont-last")


def test_the_hour_of_the_later_part_shows_when_it_is_asked_for(page):
    page.goto("/counter/")
    unfold(page, "#lines-0-later")
    page.get_by_text("Later part", exact=True).click()
    expect(page.locator("#later_hand_over_time-hour")).to_be_visible()
    page.locator("label", has=page.locator("#hand_over-venue")).click()
    expect(page.locator("#later_hand_over_time-hour")).to_be_hidden()
    expect(page.locator("#hanging_minutes")).to_be_visible()
