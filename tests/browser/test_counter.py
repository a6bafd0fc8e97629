"""The counter with hands on a keyboard: Enter never takes an order, and nothing typed is lost."""

import re
from datetime import timedelta

import pytest
from playwright.sync_api import expect

from app.web.locales import typed_date
from tests.browser.gestures import (
    Evening,
    check_order,
    fill_line,
    fill_moment,
    fill_order,
    save_order,
    typed,
    unfold,
    wait_for_answers,
)

pytestmark = pytest.mark.browser

ENTER_FIELDS = (
    "#customer",
    "#phone",
    "#event_start-day",
    "#event_start-hour",
    "#lasts_until-hour",
    "#venue_warmth",
    "#hand_over_time-hour",
    "#lines-0-quantity",
    "#lines-0-colours",
)


@pytest.fixture
def evening():
    return Evening.of_today()


@pytest.fixture
def plain(tablet):
    """A browser that runs no scripts."""
    return tablet(java_script_enabled=False)


def _add_line(page):
    page.locator("#add-line").click()


def test_enter_in_a_field_works_it_out_and_takes_nothing(page, evening):
    fill_order(page, evening)
    wait_for_answers(page)
    for field in ENTER_FIELDS:
        with page.expect_response(lambda answer: "fix=work" in (answer.request.post_data or answer.url)):
            page.press(field, "Enter")
        wait_for_answers(page)
        expect(page.locator("[data-can-make]")).to_have_attribute("data-verdict", "safe")
    page.goto("/counter/orders")
    expect(page.locator("main")).not_to_contain_text("Odd Larsen")


def test_enter_works_it_out_without_javascript_too(plain, evening):
    fill_order(plain, evening)
    plain.press("#lines-0-quantity", "Enter")
    expect(plain.locator("[data-can-make]")).to_have_attribute("data-verdict", "safe")
    plain.goto("/counter/orders")
    expect(plain.locator("main")).not_to_contain_text("Odd Larsen")


def test_working_it_out_changes_nothing_that_was_typed(page, evening):
    fill_order(page, evening, customer="Zoë 🎈 & <b>Sons</b>")
    unfold(page, "#notes")
    page.fill("#notes", "side door, second bell\nnot before six")
    unfold(page, "#lines-0-treated")
    page.check("#lines-0-treated")
    before = typed(page)
    check_order(page)
    expect(page.locator(".answer-verdict")).to_be_visible()
    assert {name: value for name, value in typed(page).items() if name in before} == before


def test_the_field_in_hand_keeps_the_cursor_while_it_is_worked_out(page, evening):
    fill_order(page, evening)
    page.press("#lines-0-colours", "Enter")
    expect(page.locator(".answer-verdict")).to_be_visible()
    page.keyboard.type("!")
    expect(page.locator("#lines-0-colours")).to_have_value("3 red, 2 white!")


def _tab_to(page, element_id):
    for _ in range(80):
        if page.evaluate("document.activeElement.id") == element_id:
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"Tab never comes to {element_id}")


def _type_into(page, element_id, text):
    _tab_to(page, element_id)
    page.keyboard.type(text)


def _type_moment(page, name, moment):
    _type_into(page, f"{name}-day", f"{moment:%d/%m/%y}")
    _type_into(page, f"{name}-hour", f"{moment:%H:%M}")


def _press_button(page, element_id):
    _tab_to(page, element_id)
    page.keyboard.press("Enter")


def test_the_keyboard_alone_takes_an_order(page, evening):
    page.goto("/counter/")
    _type_into(page, "customer", "Odd Larsen")
    _type_into(page, "phone", "01632 960001")
    _type_moment(page, "event_start", evening.begins)
    _type_moment(page, "lasts_until", evening.ends)
    _type_moment(page, "hand_over_time", evening.ready)
    _type_into(page, "lines-0-what", "11")
    _type_into(page, "lines-0-quantity", "5")
    _type_into(page, "lines-0-colours", "red")
    page.keyboard.press("Enter")
    expect(page.locator("[data-can-make]")).to_have_attribute("data-verdict", "safe")
    _press_button(page, "take")
    expect(page.locator("#read-back")).to_contain_text(re.compile(r"5 × 11 in latex\W+red"))


def test_a_double_click_on_take_the_order_takes_one(page, evening):
    fill_order(page, evening)
    page.locator("#take").dblclick()
    expect(page).to_have_url(re.compile(r"/counter/orders/\d+$"))
    page.goto("/counter/orders")
    expect(page.locator("[data-order]", has_text="Odd Larsen")).to_have_count(1)


def test_a_lost_network_keeps_what_was_typed_and_the_order_is_taken_once_it_is_back(page, evening, watch):
    watch.expected = ("ERR_INTERNET_DISCONNECTED", "Failed to fetch")
    fill_order(page, evening)
    before = typed(page)
    page.context.set_offline(True)
    page.locator("#take").click()
    expect(page.locator("#connection")).to_have_attribute("data-connection", "lost")
    expect(page.locator("#not-saved")).to_be_visible()
    assert typed(page) == before
    page.context.set_offline(False)
    expect(page.locator("#connection")).to_have_attribute("data-connection", "ok")
    expect(page.locator("#not-saved")).to_be_visible()
    save_order(page)
    page.goto("/counter/orders")
    expect(page.locator("[data-order]", has_text="Odd Larsen")).to_have_count(1)


def test_an_end_before_the_start_on_a_typed_date_is_offered_as_the_next_day(page, evening):
    fill_order(page, evening)
    page.fill("#lasts_until-day", f"{evening.at(48):%Y-%m-%d}")
    page.fill("#event_start-hour", "22:00")
    page.fill("#event_start-day", f"{evening.at(48):%Y-%m-%d}")
    page.fill("#lasts_until-hour", "02:00")
    fill_moment(page, "hand_over_time", evening.at(48).replace(hour=20, minute=0))
    unfold(page, "#notes")
    page.fill("#notes", "side door")
    check_order(page)
    next_day = evening.at(72)
    page.locator(f"[data-ends='{next_day:%Y-%m-%d}T02:00']").click()
    expect(page.locator("#lasts_until-day")).to_have_value(typed_date("en_GB", next_day))
    expect(page.locator("[data-can-make]")).to_have_attribute("data-verdict", "safe")
    shown = typed(page)
    assert (shown["customer"], shown["notes"]) == ("Odd Larsen", "side door")
    assert (shown["lasts_until-hour"], shown["lines-0-colours"]) == ("02:00", "3 red, 2 white")


@pytest.mark.parametrize("scripts", [True, False])
def test_adding_and_removing_lines_keeps_what_stands_in_the_others(tablet, evening, scripts):
    page = tablet(java_script_enabled=scripts)
    fill_order(page, evening)
    _add_line(page)
    expect(page.locator(".line")).to_have_count(2)
    fill_line(page, 1, "16 in latex", "4", "blue")
    _add_line(page)
    expect(page.locator(".line")).to_have_count(3)
    fill_line(page, 2, "18 in foil", "2", "silver star")
    page.locator("#more-line-1 > summary").click()
    page.locator("[value=drop-line-1]").click()
    expect(page.locator(".line")).to_have_count(2)
    shown = typed(page)
    assert (shown["lines-0-quantity"], shown["lines-0-colours"]) == ("5", "3 red, 2 white")
    assert (shown["lines-1-quantity"], shown["lines-1-colours"]) == ("2", "silver star")
    assert shown["customer"] == "Odd Larsen"
    expect(page.locator("#lines-1-what option:checked")).to_contain_text("18 in foil")


def test_a_new_line_is_empty(page, evening):
    fill_order(page, evening)
    _add_line(page)
    expect(page.locator("#lines-1-quantity")).to_have_value("")
    expect(page.locator("#lines-1-what")).to_have_value("")
    expect(page.locator("#lines-1-treated")).not_to_be_checked()


def test_each_wrong_field_gets_its_sentence_and_keeps_what_was_typed(page, evening, watch):
    watch.expected = ("422",)
    fill_order(page, evening)
    page.fill("#phone", "ask for Bo")
    page.fill("#lines-0-quantity", "2.5")
    page.locator("#take").click()
    expect(page.locator("#phone-problem")).to_be_visible()
    expect(page.locator("#lines-0-quantity-problem")).to_be_visible()
    expect(page.locator("#phone")).to_have_value("ask for Bo")
    expect(page.locator("#lines-0-quantity")).to_have_value("2.5")
    expect(page.locator("#lines-0-colours")).to_have_value("3 red, 2 white")


@pytest.mark.parametrize("size", [(1280, 800), (820, 1180)])
def test_what_is_wrong_and_the_first_wrong_field_are_in_sight_together(tablet, evening, watch, size):
    watch.expected = ("422",)
    page = tablet(width=size[0], height=size[1])
    fill_order(page, evening)
    page.fill("#lines-0-quantity", "2.5")
    page.locator("#take").click()
    expect(page.locator("#lines-0-quantity")).to_be_focused()
    for place in (".error-summary", "#lines-0-quantity", "#lines-0-quantity-problem"):
        expect(page.locator(place).first).to_be_in_viewport(ratio=1)


def test_a_promise_that_is_not_safe_is_taken_only_with_what_the_customer_accepted(page, evening, watch):
    watch.expected = ("422",)
    fill_order(page, evening)
    fill_moment(page, "lasts_until", evening.ends + timedelta(hours=30))
    check_order(page)
    expect(page.locator("[data-can-make]")).to_have_attribute("data-verdict", "wont-last")
    page.locator("#take").click()
    expect(page.locator("#accepted_risk-problem")).to_be_visible()
    page.fill("#accepted_risk", "only until the cake")
    save_order(page)
    expect(page.locator(".accepted-risk")).to_contain_text("only until the cake")


def test_what_the_chosen_occasion_does_not_ask_for_is_out_of_sight(page):
    page.goto("/counter/")
    expect(page.locator("#address")).to_be_hidden()
    page.locator("label", has=page.locator("#hand_over-deliver")).click()
    expect(page.locator("#address")).to_be_visible()
    page.locator("label", has=page.locator("#occasion-now")).click()
    expect(page.locator("#event_start-day")).to_be_hidden()
    expect(page.locator("#address")).to_be_hidden()


def test_two_people_on_one_order_lose_no_typing(page, tablet, served, watch):
    watch.expected = ("409",)
    number, other = served.put_order(), tablet()
    for hand in (page, other):
        hand.goto(f"/counter/orders/{number}/change")
    unfold(other, "#notes")
    other.fill("#notes", "front door")
    other.locator("#take").click()
    expect(other).to_have_url(re.compile(rf"/orders/{number}$"))
    page.fill("#lines-0-colours", "5 gold")
    page.reload()
    expect(page.locator("#lines-0-colours")).to_have_value("5 gold")
    page.locator("#take").click()
    expect(page.locator(".meanwhile")).to_contain_text("front door")
    expect(page.locator("#lines-0-colours")).to_have_value("5 gold")
    page.goto(f"/counter/orders/{number}/change")
    expect(page.locator("#notes")).to_have_value("front door")
    expect(page.locator("#lines-0-colours")).not_to_have_value("5 gold")


def _refusal(page):
    return page.locator("#refusal")


def test_a_refused_save_stays_until_it_is_mended_whatever_is_answered_meanwhile(page, evening, watch):
    watch.expected = ("422",)
    fill_order(page, evening)
    page.fill("#phone", "")
    page.locator("#take").click()
    expect(_refusal(page)).to_have_attribute("data-refused", "still")
    page.fill("#lines-0-quantity", "6")
    page.fill("#lines-0-colours", "")
    expect(page.locator("#answer h3")).to_contain_text("6 × 11 in latex")
    expect(_refusal(page)).to_have_attribute("data-refused", "still")
    expect(_refusal(page).locator("a")).to_have_attribute("href", "#phone")
    check_order(page)
    expect(_refusal(page)).to_have_attribute("data-refused", "still")
    page.reload(wait_until="networkidle")
    expect(_refusal(page)).to_have_attribute("data-refused", "still")
    page.fill("#phone", "01632 960001")
    expect(_refusal(page)).to_have_attribute("data-refused", "mended")
    save_order(page)
    page.goto("/counter/", wait_until="networkidle")
    expect(_refusal(page)).to_have_count(0)


def test_a_save_without_an_answer_says_so_until_it_is_pressed_again_and_counts_once(page, evening, watch):
    watch.expected = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED", "Failed to fetch")
    fill_order(page, evening)
    wait_for_answers(page)
    expect(page.locator("#not-saved")).to_be_hidden()

    def save_and_lose_the_answer(route):
        route.fetch(max_redirects=0)
        route.abort()

    page.route("**/counter/orders", save_and_lose_the_answer, times=1)
    page.locator("#take").click()
    expect(page.locator("#not-saved")).to_be_visible()
    expect(page.locator("[data-no-answer]")).to_be_visible()
    with page.expect_response("**/counter/draft*"):
        unfold(page, "#notes")
        page.locator("#notes").press_sequentially(" ")
    wait_for_answers(page)
    expect(page.locator("#not-saved")).to_be_visible()
    save_order(page)
    page.goto("/counter/orders")
    expect(page.locator("[data-order]", has_text="Odd Larsen")).to_have_count(1)


def test_a_change_whose_answer_was_lost_is_saved_once_too(page, served, watch):
    watch.expected = ("ERR_FAILED", "Failed to fetch")
    number = served.put_order()
    page.goto(f"/counter/orders/{number}/change")
    unfold(page, "#notes")
    page.fill("#notes", "side door")

    def save_and_lose_the_answer(route):
        route.fetch(max_redirects=0)
        route.abort()

    page.route("**/change", save_and_lose_the_answer, times=1)
    page.locator("#take").click()
    expect(page.locator("#not-saved")).to_be_visible()
    save_order(page)
    expect(page.locator("#history [data-act=changed]")).to_have_count(1)
