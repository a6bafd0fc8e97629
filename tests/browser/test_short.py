"""A caller wants more than lies on the shelf: told at once, replaced in one press, or taken with a reason."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.gestures import Evening, fill_line, fill_order, save_order, wait_for_answers

pytestmark = pytest.mark.browser


@pytest.fixture
def short(page, served):
    """Two dozen teal are wanted, twenty are there."""
    for count, colour in ((20, "teal"), (90, "navy")):
        served.put_lot(count, colour)
    fill_order(page, Evening.of_today())
    fill_line(page, 0, quantity="24", colours="teal")
    expect(page.locator("[data-topic=stock][data-short='4 teal 11 in latex']")).to_be_visible()
    return page


def test_what_is_missing_comes_in_another_colour_with_one_press_and_goes_back_with_one(short):
    page = short
    page.get_by_role("button", name="11 in latex: 20 teal, 4 navy").click()
    wait_for_answers(page)
    expect(page.locator("#lines-0-colours")).to_have_value("20 teal, 4 navy")
    expect(page.locator("#fine")).to_be_visible()
    expect(page.locator("[data-topic=stock]")).to_have_count(0)
    page.locator("#undo").click()
    wait_for_answers(page)
    expect(page.locator("#lines-0-colours")).to_have_value("teal")
    page.get_by_role("button", name=re.compile("^11 in latex: navy")).click()
    wait_for_answers(page)
    expect(page.locator("#lines-0-colours")).to_have_value("navy")
    save_order(page)
    expect(page.locator("main")).to_contain_text("24 × 11 in latex")


def test_it_is_taken_all_the_same_only_with_a_reason_that_is_printed(short, watch):
    page, watch.expected = short, ("422",)
    page.locator("#take").click()
    expect(page.locator("#stock_override-problem")).to_be_visible()
    expect(page.locator("#stock_override")).to_be_focused()
    expect(page.locator("#lines-0-colours")).to_have_value("teal")
    page.fill("#stock_override", "Four come from the other shop.")
    save_order(page)
    expect(page.locator("main")).to_contain_text("Four come from the other shop.")


def test_of_two_counters_the_second_is_told_and_takes_another_colour(short, tablet, watch):
    """Both saw twenty free; the second to press has typed nothing in vain."""
    page, other, watch.expected = short, tablet(), ("422",)
    page.fill("#lines-0-quantity", "20")
    wait_for_answers(page)
    expect(page.locator("[data-topic=stock]")).to_have_count(0)
    fill_order(other, Evening.of_today(), customer="Ines Tolliver")
    fill_line(other, 0, quantity="20", colours="teal")
    wait_for_answers(other)
    expect(other.locator("#fine")).to_contain_text("0 teal")
    save_order(page)
    other.locator("#take").click()
    expect(other.locator("[data-topic=stock][data-short='20 teal 11 in latex']")).to_be_visible()
    expect(other.locator("#customer")).to_have_value("Ines Tolliver")
    other.get_by_role("button", name=re.compile("^11 in latex: navy")).click()
    wait_for_answers(other)
    save_order(other)


def test_the_same_works_without_javascript(tablet, served):
    for count, colour in ((20, "teal"), (90, "navy")):
        served.put_lot(count, colour)
    page = tablet(java_script_enabled=False)
    fill_order(page, Evening.of_today())
    fill_line(page, 0, quantity="24", colours="teal")
    page.locator("#work").click()
    page.get_by_role("button", name="11 in latex: 20 teal, 4 navy").click()
    expect(page.locator("#lines-0-colours")).to_have_value("20 teal, 4 navy")
    save_order(page)
