"""Who is calling, with the keyboard alone: found, chosen, and their last order repeated on another day."""

import re
from datetime import timedelta

import pytest
from playwright.sync_api import expect

from tests.browser.gestures import (
    Evening,
    fill_order,
    hold_requests,
    release_requests,
    save_order,
    unfold,
    wait_for_answers,
)

pytestmark = pytest.mark.browser


@pytest.fixture
def evening():
    return Evening.of_today()


@pytest.fixture
def regulars(served, evening):
    """Two who have ordered before, for tomorrow noon: at hours that one date is enough for."""
    noon = evening.at(24).replace(hour=12, minute=0)
    hours = {"ready_by": noon - timedelta(hours=1), "event_start": noon, "lasts_until": noon + timedelta(hours=3)}
    return served.put_order(**hours), served.put_order(customer="Runa Vik", phone="020 7946 0999", **hours)


def _entries(page):
    return page.locator("#callers button")


def _focus(page):
    return page.evaluate("document.activeElement.id")


def _type(page, field, text):
    page.locator(f"#{field}").press_sequentially(text)


def test_three_digits_an_arrow_and_a_key_repeat_the_order_on_a_new_date(page, evening, regulars):
    page.goto("/counter/")
    expect(page.locator("#customer")).to_be_focused()
    page.keyboard.press("Tab")
    page.keyboard.type("001")
    expect(_entries(page)).to_have_count(1)
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    expect(page.locator("#customer")).to_have_value("Odd Larsen")
    expect(page.locator("#phone")).to_have_value("01632 960001")
    expect(page.locator("#regular")).to_contain_text("5 × 11 in latex, 3 red, 2 white")
    page.keyboard.press("Alt+r")
    expect(page.locator("#lines-0-quantity")).to_have_value("5")
    expect(page.locator("#event_start-day")).to_be_focused()
    expect(page.locator("#event_start-day")).to_have_value("")
    page.keyboard.type(f"{evening.at(7 * 24):%d/%m/%y}")
    page.keyboard.press("Control+Enter")
    expect(page).to_have_url(re.compile(r"/counter/orders/\d+$"))
    expect(page.locator(".read-back")).to_contain_text("Odd Larsen")
    page.locator(".whose").click()
    expect(page.locator(".past li")).to_have_count(2)


def test_name_and_phone_together_say_who_comes_first(page, served, regulars):
    """Of those whose phone begins alike, whoever came last would be first."""
    served.put_order(customer="Runa Vik", phone="01632 960555")
    served.put_order(customer="Tove Lind", phone="01632 960888")
    page.goto("/counter/")
    _type(page, "phone", "01632")
    expect(_entries(page).first).to_contain_text("Tove Lind")
    page.fill("#phone", "")
    expect(_entries(page)).to_have_count(0)
    page.fill("#customer", "Runa")
    _type(page, "phone", "01632")
    expect(_entries(page).first).to_contain_text("Runa Vik")
    expect(_entries(page).first).to_contain_text("01632 960555")
    expect(_entries(page)).to_have_count(3)
    page.fill("#phone", "01632 96077")
    expect(_entries(page).first).to_contain_text("Runa Vik")
    _entries(page).first.click()
    expect(page.locator("#customer")).to_have_value("Runa Vik")
    expect(page.locator("#phone")).to_have_value("01632 96077")


def test_a_repeat_goes_back_in_one_press(page, evening, regulars):
    page.goto("/counter/")
    page.fill("#customer", "runa")
    _entries(page).click()
    expect(page.locator("#regular")).to_be_visible()
    unfold(page, "#notes")
    page.fill("#notes", "side door")
    page.keyboard.press("Alt+l")
    expect(page.locator("#line-1")).to_be_visible()
    page.fill("#lines-1-quantity", "77")
    page.keyboard.press("Alt+r")
    expect(page.locator("#lines-0-quantity")).to_have_value("5")
    expect(page.locator("#notes")).to_have_value("side door")
    expect(page.locator("#line-1")).to_have_count(0)
    page.locator("#undo").click()
    expect(page.locator("#lines-1-quantity")).to_have_value("77")
    expect(page.locator("#lines-0-quantity")).to_have_value("")
    expect(page.locator("#notes")).to_have_value("side door")


def test_escape_closes_the_list_and_tab_goes_on_to_the_next_field(page, regulars):
    page.goto("/counter/")
    _type(page, "customer", "run")
    expect(_entries(page)).to_have_count(1)
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Escape")
    expect(_entries(page)).to_have_count(0)
    assert _focus(page) == "customer"
    page.keyboard.type("a")
    expect(_entries(page)).to_be_visible()
    page.keyboard.press("Tab")
    assert _focus(page) == "phone"
    page.keyboard.press("Tab")
    assert _focus(page) == "event_start-day"
    expect(page.locator("#callers")).to_be_hidden()


def test_the_arrows_go_down_and_back_to_the_field(page, regulars):
    page.goto("/counter/")
    with page.expect_response("**/counter/callers?*"):
        _type(page, "customer", "a")
    wait_for_answers(page)
    expect(_entries(page)).to_have_count(0)
    page.fill("#customer", "")
    _type(page, "phone", "0999")
    expect(_entries(page)).to_have_count(1)
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    assert _focus(page).startswith("caller-")
    page.keyboard.press("ArrowUp")
    assert _focus(page) == "phone"


def test_the_list_pushes_nothing_away(page, regulars):
    page.goto("/counter/")
    before = page.locator("#add-line").bounding_box()
    _type(page, "customer", "runa")
    expect(_entries(page)).to_be_visible()
    assert page.locator("#add-line").bounding_box() == before


def test_a_finger_chooses_too(tablet, regulars):
    page = tablet(width=390, height=844, has_touch=True)
    page.goto("/counter/")
    _type(page, "customer", "runa")
    _entries(page).tap()
    expect(page.locator("#phone")).to_have_value("020 7946 0999")
    expect(page.locator("#regular")).to_contain_text("Runa Vik")
    assert page.evaluate("document.documentElement.scrollWidth") == 390


def test_a_late_list_for_earlier_typing_never_stands(page, regulars):
    """A slow network answers the first question after the second."""
    page.goto("/counter/")
    held = hold_requests(page, "**/counter/callers?*", "customer=odd")
    with page.expect_request("**/counter/callers?*"):
        page.fill("#customer", "odd")
    page.fill("#customer", "runa")
    expect(_entries(page)).to_contain_text("Runa Vik")
    assert len(held) == 1
    release_requests(page, held)
    expect(_entries(page)).to_have_count(1)
    expect(_entries(page)).to_contain_text("Runa Vik")


def test_a_list_that_comes_after_a_press_in_the_form_stays_away(page, regulars):
    page.goto("/counter/")
    held = hold_requests(page, "**/counter/callers?*", "customer=runa")
    with page.expect_request("**/counter/callers?*"):
        page.fill("#customer", "runa")
    page.keyboard.press("Alt+l")
    expect(page.locator("#line-1")).to_be_visible()
    assert len(held) == 1
    release_requests(page, held)
    expect(_entries(page)).to_have_count(0)


def test_the_list_and_the_live_answer_come_side_by_side(page, evening, regulars):
    fill_order(page, evening, customer="")
    expect(page.locator("#answer h3")).to_contain_text("5 × 11 in latex")
    page.fill("#lines-0-colours", "")
    page.fill("#lines-0-quantity", "6")
    page.locator("#customer").fill("runa")
    expect(_entries(page)).to_contain_text("Runa Vik")
    expect(page.locator("#answer h3")).to_contain_text("6 × 11 in latex")


def test_what_was_typed_stays_when_the_caller_is_chosen_late(page, evening, regulars):
    fill_order(page, evening, customer="")
    unfold(page, "#notes")
    page.fill("#notes", "side door")
    page.fill("#customer", "runa")
    _entries(page).click()
    expect(page.locator("#customer")).to_have_value("Runa Vik")
    expect(page.locator("#phone")).to_have_value("01632 960001")
    expect(page.locator("#notes")).to_have_value("side door")
    expect(page.locator("[data-can-make]")).to_have_attribute("data-verdict", "safe")
    save_order(page)
    page.locator(".whose").click()
    expect(page.locator(".past li")).to_have_count(2)


def test_a_repeat_fills_in_the_field_in_hand_too(page, regulars):
    page.goto("/counter/")
    page.fill("#customer", "runa")
    _entries(page).click()
    expect(page.locator("#regular")).to_be_visible()
    page.fill("#lines-0-quantity", "77")
    page.keyboard.press("Alt+r")
    expect(page.locator("#lines-0-quantity")).to_have_value("5")


def test_who_was_chosen_outlives_a_reload(page, regulars):
    page.goto("/counter/")
    page.fill("#customer", "runa")
    _entries(page).click()
    expect(page.locator("#regular")).to_be_visible()
    page.reload()
    expect(page.locator("#regular")).to_contain_text("Runa Vik")
    expect(page.locator("#phone")).to_have_value("020 7946 0999")


def test_without_scripts_a_button_finds_the_caller_and_another_repeats(tablet, regulars):
    page = tablet(java_script_enabled=False)
    page.goto("/counter/")
    page.fill("#phone", "7946")
    page.get_by_role("button", name="Find customer").click()
    _entries(page).click()
    expect(page.locator("#customer")).to_have_value("Runa Vik")
    page.get_by_role("button", name=f"Repeat order {regulars[1]}").click()
    expect(page.locator("#lines-0-colours")).to_have_value("3 red, 2 white")
    expect(page.locator("#event_start-day")).to_be_focused()
