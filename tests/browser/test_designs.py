"""A design is made in the office, found at the counter by a part's name, ordered, and changed afterwards."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.gestures import Evening, fill_moment, save_order, typed

pytestmark = pytest.mark.browser


@pytest.fixture
def evening():
    return Evening.of_today()


def _fill_design(page, name="Gull bouquet"):
    page.goto("/office/designs/new")
    page.fill("#name", name)
    page.fill("#price_minor", "26.00")
    page.fill("#assembly_minutes", "5")
    page.fill("#steps", "Tie the nine.\nGull on top.")
    for place, (balloon_type, count, colours) in enumerate(
        (("11 in latex", "9", ""), ("18 in foil", "1", "white gull"))
    ):
        page.select_option(f"#parts-{place}-balloon_type", label=balloon_type)
        page.fill(f"#parts-{place}-quantity", count)
        page.fill(f"#parts-{place}-colours", colours)


def _save(page):
    page.locator("#save").click()


def _say_when(page, evening):
    page.fill("#customer", "Odd Larsen")
    page.fill("#phone", "01632 960001")
    fill_moment(page, "event_start", evening.begins)
    fill_moment(page, "lasts_until", evening.ends)
    fill_moment(page, "hand_over_time", evening.ready)


def _entries(page, line=0):
    return page.locator(f"#finds-{line} button")


def test_a_design_is_made_ordered_by_a_part_and_its_new_price_leaves_the_order_alone(page, evening, watch):
    watch.expected = ("422",)
    _fill_design(page)
    page.fill("#parts-0-quantity", "nine")
    _save(page)
    expect(page.locator("#parts-0-quantity-problem")).to_be_visible()
    expect(page.locator("#parts-1-colours")).to_have_value("white gull")
    page.fill("#parts-0-quantity", "9")
    page.select_option("#build", "bouquet")
    _save(page)
    expect(page.locator(".flash")).to_contain_text("Gull bouquet")

    page.goto("/counter/")
    _say_when(page, evening)
    page.locator("#lines-0-find").press_sequentially("gull")
    expect(_entries(page)).to_have_count(1)
    page.keyboard.press("Enter")
    expect(page.locator("#lines-0-quantity")).to_be_focused()
    expect(page.locator("#lines-0-find")).to_have_value("")
    page.keyboard.type("2")
    expect(page.locator("#answer h3")).to_contain_text("2 × Gull bouquet")
    number = save_order(page)
    expect(page.locator(".read-back")).to_contain_text("2 × Gull bouquet")

    page.goto(f"/bench/batches/{number}-1")
    expect(page.locator(".sheet-picture")).to_be_visible()
    expect(page.locator(".sheet-cuts tfoot")).to_contain_text(" m")
    expect(page.locator("main")).to_contain_text("Gull on top.")

    page.goto("/office/designs")
    page.get_by_role("link", name="Gull bouquet").click()
    page.fill("#price_minor", "99.00")
    page.fill("#name", "Tern bouquet")
    _save(page)
    expect(page.locator(".flash")).to_contain_text("Tern bouquet")
    page.goto(f"/counter/orders/{number}")
    expect(page.locator(".read-back")).to_contain_text("2 × Gull bouquet")
    expect(page.locator("main")).to_contain_text("52.00")
    expect(page.locator("main")).not_to_contain_text("99.00")


def test_without_scripts_a_design_is_made_and_found_too(tablet, evening):
    page = tablet(java_script_enabled=False)
    _fill_design(page)
    page.get_by_role("button", name="Add parts").click()
    expect(page.locator(".part")).to_have_count(4)
    expect(page.locator("#parts-0-quantity")).to_have_value("9")
    page.select_option("#build", "column")
    page.get_by_role("button", name="Show its fields").click()
    page.fill("#figures-height_m", "2")
    page.select_option("#parts-0-gas", "air")
    page.locator("#design-answer button[value=work]").click()
    page.get_by_role("button", name="44 balloons").click()
    expect(page.locator("#parts-0-quantity")).to_have_value("44")
    _save(page)
    expect(page.locator(".flash")).to_contain_text("Gull bouquet")
    page.goto("/counter/")
    _say_when(page, evening)
    page.fill("#lines-0-find", "bouq")
    page.locator("button[value=find-0]").click()
    expect(page.locator("#lines-0-what option:checked")).to_contain_text("Gull bouquet")


def test_the_form_asks_for_its_figures_at_once_and_a_press_writes_the_number(page):
    _fill_design(page)
    page.select_option("#parts-0-gas", "air")
    page.select_option("#build", "column")
    page.fill("#figures-height_m", "2")
    page.get_by_role("button", name="40 balloons").click()
    expect(page.locator("#parts-0-quantity")).to_have_value("40")
    expect(page.locator("#steps")).to_have_value("Tie the nine.\nGull on top.")
    page.select_option("#build", "bouquet")
    expect(page.locator("#figures-height_m")).to_have_count(0)
    expect(page.locator("#design-answer")).to_have_attribute("data-net-lift", re.compile(r"\d"))


@pytest.fixture
def shelf(served):
    return [served.put_design(name) for name in ("Gull bouquet", "Gull and anchor", "Tern trio")]


def test_the_arrows_choose_on_any_line_and_escape_closes(page, shelf):
    page.goto("/counter/")
    page.keyboard.press("Alt+l")
    expect(page.locator("#line-1")).to_be_visible()
    page.locator("#lines-1-find").press_sequentially("gull")
    expect(_entries(page, 1)).to_have_count(2)
    expect(_entries(page, 0)).to_have_count(0)
    page.keyboard.press("Escape")
    expect(_entries(page, 1)).to_have_count(0)
    expect(page.locator("#lines-1-find")).to_be_focused()
    page.keyboard.press("Backspace")
    expect(_entries(page, 1)).to_have_count(2)
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    expect(page.locator("#lines-1-quantity")).to_be_focused()
    expect(page.locator("#lines-1-what option:checked")).to_contain_text("Gull bouquet")
    expect(page.locator("#lines-0-what")).to_have_value("")


def test_tab_takes_what_alone_can_be_meant_and_goes_on_otherwise(page, shelf):
    page.goto("/counter/")
    page.locator("#lines-0-find").press_sequentially("gull")
    expect(_entries(page, 0)).to_have_count(2)
    page.keyboard.press("Tab")
    expect(page.locator("#lines-0-what")).to_be_focused()
    page.locator("#lines-0-find").fill("")
    page.locator("#lines-0-find").press_sequentially("gull bouquet")
    expect(_entries(page, 0)).to_have_count(1)
    page.keyboard.press("Tab")
    expect(page.locator("#lines-0-quantity")).to_be_focused()
    expect(page.locator("#lines-0-what option:checked")).to_contain_text("Gull bouquet")


def test_enter_before_the_list_has_come_takes_nothing_that_was_not_meant(page, shelf):
    """A slow network: the list for the first letter is there, that for the whole word is not."""
    page.goto("/counter/")
    page.locator("#lines-0-find").press_sequentially("g")
    expect(_entries(page)).to_have_count(2)
    page.route("**/counter/goods?*", lambda route: None)
    page.fill("#lines-0-find", "tern")
    page.keyboard.press("Enter")
    expect(page.locator("#lines-0-what option:checked")).to_contain_text("Tern trio")
    expect(page.locator("#lines-0-find")).to_have_value("")
    expect(page.locator("#lines-0-quantity")).to_be_focused()


def test_enter_on_a_name_of_several_shows_them_and_another_takes_the_first(page, shelf):
    page.goto("/counter/")
    page.fill("#lines-0-find", "gull")
    page.keyboard.press("Enter")
    expect(_entries(page)).to_have_count(2)
    page.keyboard.press("Enter")
    expect(page.locator("#lines-0-what option:checked")).to_contain_text("Gull and anchor")


def test_what_is_typed_to_find_outlives_a_reload_and_ends_with_a_choice_from_the_list(page, shelf):
    page.goto("/counter/")
    page.fill("#customer", "Odd Larsen")
    page.fill("#lines-0-find", "gull")
    page.reload()
    expect(page.locator("#lines-0-find")).to_have_value("gull")
    choice = page.locator("#lines-0-what option", has_text=re.compile("^Tern trio")).first
    page.select_option("#lines-0-what", choice.get_attribute("value"))
    expect(page.locator("#lines-0-find")).to_have_value("")
    assert typed(page)["customer"] == "Odd Larsen"


def test_the_list_of_goods_is_within_the_page_on_a_telephone(tablet, shelf):
    page = tablet(width=390, height=844, has_touch=True)
    page.goto("/counter/")
    page.locator("#lines-0-find").press_sequentially("gull")
    expect(_entries(page)).to_have_count(2)
    assert page.evaluate("document.documentElement.scrollWidth") == 390
    _entries(page).first.tap()
    expect(page.locator("#lines-0-what option:checked")).to_contain_text("Gull and anchor")
