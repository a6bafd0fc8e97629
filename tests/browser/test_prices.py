"""The price list by the keyboard alone: from cell to cell like a table, one stop for Tab, and one press saves."""

import pytest
from playwright.sync_api import expect

from tests.browser.findings import axe_findings

pytestmark = pytest.mark.browser
LISTS = ("/office/balloon-types/prices", "/office/supplies/prices")
INSIDE = "() => document.activeElement.closest('[data-price-list]') !== null"


def _stops(page):
    """For each stop of Tab on the page, from its beginning, whether it is in the list."""
    page.evaluate("() => document.body.focus()")
    found, first = [], None
    while len(found) < 300:
        page.keyboard.press("Tab")
        here = page.evaluate_handle("() => document.activeElement")
        if first is not None and page.evaluate("([a, b]) => a === b || a === document.body", [here, first]):
            break
        first = first or here
        found.append(page.evaluate(INSIDE))
    return found


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


@pytest.mark.parametrize("path", LISTS)
def test_the_whole_list_is_one_stop_for_tab(page, path):
    page.goto(path)
    assert _stops(page).count(True) == 1
    assert page.locator("[data-price-list] input").count() > 10


@pytest.mark.parametrize("path", LISTS)
def test_without_scripts_each_cell_is_a_plain_field(tablet, path):
    without_scripts = tablet(java_script_enabled=False)
    without_scripts.goto(path)
    cells = without_scripts.locator("[data-price-list] input")
    assert cells.count() > 10
    assert _stops(without_scripts).count(True) >= cells.count()


def test_the_arrow_keys_go_along_a_row_and_skip_a_price_that_it_does_not_have(page):
    page.goto("/office/balloon-types/prices")
    air_only = page.locator("tr", has=page.locator("input[data-column=price]")).filter(
        has_not=page.locator("input[data-column=treated]")
    )
    row, treated = air_only.first, page.locator("tr", has=page.locator("input[data-column=treated]")).first
    row.locator("input[data-column=price]").focus()
    page.keyboard.press("Control+A")
    page.keyboard.press("ArrowLeft")
    expect(row.locator("input[data-column=pack_cost]")).to_be_focused()
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowLeft")
    expect(row.locator("a")).to_be_focused()
    page.keyboard.press("Control+Home")
    expect(page.locator("[data-price-list] a").first).to_be_focused()
    treated.locator("input[data-column=price]").focus()
    page.keyboard.press("Control+A")
    page.keyboard.press("ArrowRight")
    expect(treated.locator("input[data-column=treated]")).to_be_focused()


def test_the_caret_moves_in_what_was_typed_before_a_cell_is_left_and_escape_restores_it(page):
    page.goto("/office/supplies/prices")
    cost = page.locator("input[data-column=pack_cost]").nth(1)
    before = cost.input_value()
    cost.focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("12.50")
    page.keyboard.press("ArrowLeft")
    expect(cost).to_be_focused()
    page.keyboard.press("Escape")
    expect(cost).to_have_value(before)
    page.keyboard.press("End")
    page.keyboard.press("ArrowRight")
    expect(page.locator("input[data-column=price]").nth(1)).to_be_focused()


def test_tab_comes_back_to_the_cell_that_was_left(page):
    page.goto("/office/supplies/prices")
    cell = page.locator("input[data-column=price]").nth(3)
    cell.focus()
    page.keyboard.press("Tab")
    expect(page.locator("#save-prices")).to_be_focused()
    page.keyboard.press("Shift+Tab")
    expect(cell).to_be_focused()


@pytest.mark.parametrize("width", [1280, 390])
@pytest.mark.parametrize("path", LISTS)
def test_each_cell_has_a_name_and_nothing_is_found(page, path, width):
    page.set_viewport_size({"width": width, "height": 800})
    page.goto(path)
    names = page.locator("[data-price-list] input").evaluate_all("all => all.map((one) => one.ariaLabel)")
    assert all(names)
    assert len(set(names)) == len(names)
    assert axe_findings(page) == []
