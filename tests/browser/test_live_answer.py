"""While the caller waits: the answer follows the typing, alternatives are one press, and nothing typed is lost."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import BLANK_ADDRESS
from tests.browser.gestures import (
    Evening,
    fill_line,
    fill_moment,
    fill_order,
    hold_requests,
    release_requests,
    typed,
    unfold,
    wait_for_answers,
)

pytestmark = pytest.mark.browser


@pytest.fixture
def evening():
    return Evening.of_today()


def _long_party(page, evening):
    """So long after its collection that untreated 11-inch latex is down before the end."""
    fill_order(page, evening)
    fill_moment(page, "event_start", evening.at(13))
    fill_moment(page, "lasts_until", evening.at(20))
    expect(page.locator("[data-can-make]")).to_have_attribute("data-verdict", "wont-last")


def test_the_answer_follows_the_typing_and_the_focus_stays(page, evening):
    fill_order(page, evening)
    page.fill("#lines-0-colours", "")
    page.press("#lines-0-quantity", "End")
    page.keyboard.type("0")
    expect(page.locator("#answer h3")).to_contain_text("50 × 11 in latex")
    assert page.evaluate("document.activeElement.id") == "lines-0-quantity"


def test_what_is_missing_is_asked_for_while_typing(page):
    page.goto("/counter/")
    page.locator("#customer").press_sequentially("Odd")
    expect(page.locator("#still-needed li").first).to_be_visible()
    expect(page.locator("[aria-invalid]")).to_have_count(0)


def test_an_alternative_is_one_press_and_can_be_taken_back(page, evening):
    _long_party(page, evening)
    before = page.input_value("#hand_over_time-hour")
    page.locator("#alternative-0-later").click()
    expect(page.locator("[data-can-make]")).to_have_attribute("data-verdict", "safe")
    assert page.input_value("#hand_over_time-hour") != before
    page.locator("#undo").click()
    expect(page.locator("[data-can-make]")).to_have_attribute("data-verdict", "wont-last")
    expect(page.locator("#hand_over_time-hour")).to_have_value(before)


def test_by_keyboard_the_focus_goes_on_from_an_alternative_to_its_undo_and_back(page, evening):
    _long_party(page, evening)
    for alternative in (page.locator(".alternative").first, page.locator(".alternative:visible").last):
        alternative.focus()
        page.keyboard.press("Enter")
        expect(page.locator("#verdict")).to_be_focused()
        page.keyboard.press("Tab")
        expect(page.locator("#undo")).to_be_focused()
        page.keyboard.press("Enter")
        expect(page.locator(".alternative").first).to_be_focused()
    expect(page.locator("[data-can-make]")).to_have_attribute("data-verdict", "wont-last")


def test_a_late_answer_to_earlier_typing_never_stands(page, evening):
    """A slow network answers the first question after the second: what stands is the answer to the last."""
    fill_order(page, evening)
    page.fill("#lines-0-colours", "")
    expect(page.locator("#answer h3")).to_contain_text("5 × 11 in latex")
    wait_for_answers(page)
    held = hold_requests(page, "**/counter/draft*", "lines-0-quantity=6")
    with page.expect_request("**/counter/draft*"):
        page.fill("#lines-0-quantity", "6")
    page.fill("#lines-0-quantity", "7")
    expect(page.locator("#answer h3")).to_contain_text("7 × 11 in latex")
    assert len(held) == 1
    release_requests(page, held)
    expect(page.locator("#answer h3")).to_contain_text("7 × 11 in latex")


def test_an_answer_that_is_older_than_the_form_says_so_until_the_new_one_is_there(page, evening):
    fill_order(page, evening)
    expect(page.locator(".answer-behind")).to_be_hidden()
    held = hold_requests(page, "**/counter/draft*", "lines-0-quantity=25")
    with page.expect_request("**/counter/draft*"):
        page.fill("#lines-0-quantity", "25")
    expect(page.locator(".answer-behind")).to_be_visible()
    release_requests(page, held)
    expect(page.locator(".answer-behind")).to_be_hidden()


def test_what_was_opened_stays_open_while_the_answer_follows_the_typing(page, evening):
    fill_order(page, evening)
    wait_for_answers(page)
    opened = ("#answer-details", "#answer .why", "#bill", "#keys")
    for fold in opened:
        page.locator(f"{fold} > summary").click()
    page.fill("#lines-0-colours", "")
    page.fill("#lines-0-quantity", "6")
    expect(page.locator("#answer h3")).to_contain_text("6 × 11 in latex")
    wait_for_answers(page)
    for fold in opened:
        expect(page.locator(fold)).to_have_attribute("open", "")
    page.locator("#bill > summary").click()
    page.fill("#lines-0-quantity", "7")
    expect(page.locator("#answer h3")).to_contain_text("7 × 11 in latex")
    expect(page.locator("#bill")).not_to_have_attribute("open", "")
    page.click("#add-line")
    fill_line(page, 1, what="12 in latex", quantity="7", colours="")
    expect(page.locator("#answer h3")).to_have_count(2)
    expect(page.locator("#answer .why")).to_have_attribute("open", "")


def test_a_draft_and_its_answer_survive_reload_back_and_a_closed_tab(page, evening):
    fill_order(page, evening, customer="Runa Vik")
    page.click("#add-line")
    fill_line(page, 1, what="12 in latex", quantity="7", colours="")
    expect(page.locator("#answer")).to_contain_text("7 × 12 in latex")
    page.reload()
    _has_the_draft(page)
    expect(page.locator("#answer h3")).to_have_count(2)
    page.goto("/bench")
    page.go_back()
    _has_the_draft(page)
    other = page.context.new_page()
    page.close()
    other.goto("/counter/")
    other.locator("#bring-back").click()
    _has_the_draft(other)
    expect(other.locator("#answer h3")).to_have_count(2)


def _key(page):
    return page.locator("[name=client_key]").get_attribute("value")


def test_each_tab_has_a_draft_and_a_key_of_its_own(page, evening):
    fill_order(page, evening, customer="Runa Vik")
    other = page.context.new_page()
    other.goto("/counter/", wait_until="networkidle")
    expect(other.locator("#customer")).to_have_value("")
    other.fill("#customer", "Odd Larsen")
    assert _key(other) != _key(page)
    for tab, name in ((page, "Runa Vik"), (other, "Odd Larsen")):
        key = _key(tab)
        tab.reload(wait_until="networkidle")
        expect(tab.locator("#customer")).to_have_value(name)
        assert _key(tab) == key
        expect(tab.locator("#left-draft")).to_be_hidden()


def test_a_duplicated_tab_goes_on_with_a_key_of_its_own(page, evening):
    fill_order(page, evening, customer="Runa Vik")
    wait_for_answers(page)
    first_key = _key(page)
    kept = page.evaluate("Object.entries(sessionStorage)")
    twin = page.context.new_page()
    twin.goto(BLANK_ADDRESS)
    twin.evaluate("kept => kept.forEach(([name, text]) => sessionStorage.setItem(name, text))", kept)
    twin.goto("/counter/")
    expect(twin.locator("#customer")).to_have_value("Runa Vik")
    expect(twin.locator("[name=client_key]")).not_to_have_value(first_key)
    assert page.input_value("[name=client_key]") == first_key


def _has_the_draft(page):
    expect(page.locator("#customer")).to_have_value("Runa Vik")
    expect(page.locator("#lines-1-quantity")).to_have_value("7")


def test_a_draft_ends_with_its_order_and_when_it_is_emptied(page, evening):
    fill_order(page, evening, customer="Runa Vik")
    page.keyboard.press("Control+Enter")
    expect(page.locator(".read-back")).to_contain_text("Runa Vik")
    page.goto("/counter/", wait_until="networkidle")
    expect(page.locator("#customer")).to_have_value("")
    page.fill("#customer", "Somebody else")
    page.locator("#clear").click()
    expect(page.locator("#customer")).to_have_value("")
    page.reload(wait_until="networkidle")
    expect(page.locator("#customer")).to_have_value("")


def test_clearing_is_undone_after_a_reload_too_with_the_key_that_the_order_had(page, evening):
    fill_order(page, evening, customer="Runa Vik")
    page.click("#add-line")
    fill_line(page, 1, what="12 in latex", quantity="7", colours="")
    wait_for_answers(page)
    before, key = typed(page), _key(page)
    page.locator("#clear").click()
    expect(page.locator("#customer")).to_have_value("")
    expect(page.locator("#line-1")).to_have_count(0)
    assert _key(page) != key
    page.reload(wait_until="networkidle")
    page.locator("#undo[data-undoes=clear]").click()
    _has_the_draft(page)
    assert _key(page) == key
    assert {name: value for name, value in typed(page).items() if name in before} == before


def test_the_keys_named_below_the_answer_do_what_they_say(page, evening):
    fill_order(page, evening)
    page.keyboard.press("Alt+l")
    expect(page.locator("#line-1")).to_be_visible()
    page.keyboard.press("Alt+f")
    assert page.evaluate("document.activeElement.name") == "q"
    page.focus("#customer")
    page.keyboard.press("Control+Enter")
    expect(page.locator("h1")).to_contain_text(re.compile(r"Order \d+"))


def test_a_date_typed_while_an_answer_is_under_way_is_read_back_as_it_stands(page, evening):
    fill_order(page, evening)
    wait_for_answers(page)
    held = hold_requests(page, "**/counter/draft*", "fix=add-line")
    page.locator("#add-line").click()
    expect(page.locator("#add-line.htmx-request")).to_be_visible()
    day = f"{evening.at(7 * 24):%Y-%m-%d}"
    page.fill("#event_start-day", day)
    held[0].continue_()
    expect(page.locator("#lines-1-quantity")).to_be_visible()
    wait_for_answers(page)
    expect(page.locator("#event_start-day")).to_have_value(day)
    expect(page.locator("#event_start-day-read [data-day]")).to_have_attribute("data-day", day)


def test_what_is_typed_while_the_answer_to_a_press_is_under_way_stays(page, evening):
    fill_order(page, evening)
    wait_for_answers(page)
    held = hold_requests(page, "**/counter/draft*", "fix=add-line")
    page.locator("#add-line").click()
    expect(page.locator("#add-line.htmx-request")).to_be_visible()
    unfold(page, "#notes")
    page.fill("#notes", "Ring the bell twice.")
    page.fill("#lines-0-colours", "5 teal")
    page.locator("#customer").focus()
    held[0].continue_()
    expect(page.locator("#lines-1-quantity")).to_be_visible()
    expect(page.locator("#notes")).to_have_value("Ring the bell twice.")
    expect(page.locator("#lines-0-colours")).to_have_value("5 teal")
