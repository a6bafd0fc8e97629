"""The price list by the keyboard alone: down and up in a column, and one press saves."""

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser


def test_enter_and_the_arrow_keys_go_down_and_up_in_a_column_and_then_to_save(page):
    page.goto("/office/supplies/prices")
    cells = page.locator("input[data-column=pack_cost]")
    cells.nth(0).focus()
    page.keyboard.press("Enter")
    expect(cells.nth(1)).to_be_focused()
    page.keyboard.press("ArrowDown")
    expect(cells.nth(2)).to_be_focused()
    page.keyboard.press("ArrowUp")
    expect(cells.nth(1)).to_be_focused()
    page.keyboard.type("4.25")
    assert cells.nth(1).input_value() == "4.25"
    cells.last.focus()
    page.keyboard.press("Enter")
    expect(page.locator("#save-prices")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator(".flash")).to_have_count(1)
    expect(page.locator("input[data-column=pack_cost]").nth(1)).to_have_value("4.25")
