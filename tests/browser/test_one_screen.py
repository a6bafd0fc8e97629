"""An order on one screen by the keyboard alone: how many keys it takes beyond what is said, and nobody scrolls."""

import re
from dataclasses import dataclass
from datetime import timedelta

import pytest
from playwright.sync_api import Page, expect

from tests.browser.gestures import Evening, check_order, fill_line, fill_moment, wait_for_answers

pytestmark = pytest.mark.browser

MOST_KEYS = 20
MOST_KEYS_TO_REPEAT = 5
ROLES = ("answer", "verdict", "price", "save")


@dataclass
class Keyboard:
    """Types what a caller says, and counts the keys that are pressed besides."""

    page: Page
    pressed: int = 0

    def say(self, text):
        self.page.keyboard.type(text)

    def press(self, *keys):
        for key in keys:
            self.page.keyboard.press(key)
            self.pressed += 1


@pytest.fixture
def noon():
    """Tomorrow at noon, at hours that one date is enough for."""
    return Evening.of_today().at(24).replace(hour=12, minute=0)


@pytest.fixture
def keyboard(page):
    return Keyboard(page)


def _is_in_sight(page, role):
    height = page.viewport_size["height"]
    box = page.locator(f"[data-role={role}]").bounding_box()
    return box is not None and box["y"] >= 0 and box["y"] + box["height"] <= height


def _scrolled(page):
    return page.evaluate("scrollY")


def _typed_order(page, noon, until):
    page.goto("/counter/")
    page.fill("#customer", "Moira Penhaligon")
    page.fill("#phone", "01632 960471")
    fill_moment(page, "event_start", noon)
    fill_moment(page, "lasts_until", until)
    fill_moment(page, "hand_over_time", noon - timedelta(hours=1))
    fill_line(page, 0)
    page.keyboard.press("Alt+l")
    expect(page.locator("#line-1")).to_be_visible()
    fill_line(page, 1, quantity="20", colours="20 white")
    check_order(page)


def test_a_phone_order_of_two_designs_takes_few_keys_beyond_what_is_said(page, served, noon, keyboard):
    served.put_design("Sea bouquet")
    served.put_design("Gull bouquet")
    page.goto("/counter/")
    expect(page.locator("#customer")).to_be_focused()
    keyboard.say("Moira Penhaligon")
    keyboard.press("Tab")
    keyboard.say("01632 960471")
    keyboard.press("Tab")
    keyboard.say(f"{noon:%d/%m/%y}")
    keyboard.press("Tab")
    keyboard.say("12")
    keyboard.press("Tab", "Tab")
    keyboard.say("15")
    keyboard.press("Tab", "Tab", "Tab", "Tab")
    expect(page.locator("#hand_over_time-hour")).to_be_focused()
    keyboard.say("11")
    keyboard.press("Tab")
    _say_line(page, keyboard, 0, "sea", "3")
    keyboard.press("Alt+l")
    _say_line(page, keyboard, 1, "gull", "2")
    keyboard.press("Control+Enter")
    expect(page).to_have_url(re.compile(r"/counter/orders/\d+$"))
    assert keyboard.pressed <= MOST_KEYS


def _say_line(page, keyboard, place, name, quantity):
    expect(page.locator(f"#lines-{place}-find")).to_be_focused()
    keyboard.say(name)
    expect(page.locator(f"#finds-{place} button")).to_have_count(1)
    keyboard.press("Enter")
    expect(page.locator(f"#lines-{place}-quantity")).to_be_focused()
    keyboard.say(quantity)
    wait_for_answers(page)


def test_last_years_order_is_repeated_in_five_keys(page, served, noon, keyboard):
    hours = {"ready_by": noon - timedelta(hours=1), "event_start": noon, "lasts_until": noon + timedelta(hours=3)}
    served.put_order(**hours)
    page.goto("/counter/")
    expect(page.locator("#customer")).to_be_focused()
    keyboard.say("odd")
    expect(page.locator("#callers button")).to_have_count(1)
    keyboard.press("ArrowDown", "Enter")
    expect(page.locator("#regular")).to_be_visible()
    keyboard.press("Alt+r")
    expect(page.locator("#event_start-day")).to_be_focused()
    keyboard.say(f"{noon + timedelta(days=7):%d/%m/%y}")
    keyboard.press("Control+Enter")
    expect(page).to_have_url(re.compile(r"/counter/orders/\d+$"))
    assert keyboard.pressed <= MOST_KEYS_TO_REPEAT


@pytest.mark.parametrize("key", ["ł", "ø", "L"], ids=["mac-pl", "mac-us", "caps-lock"])
def test_a_key_is_known_by_its_place_on_the_keyboard(page, key):
    """With Alt a Mac writes another letter, and Caps Lock a capital: neither takes the key away."""
    page.goto("/counter/")
    event = {"key": key, "code": "KeyL", "altKey": True, "bubbles": True, "cancelable": True}
    page.locator("#customer").evaluate(
        "(field, event) => field.dispatchEvent(new KeyboardEvent('keydown', event))", event
    )
    expect(page.locator("#line-1")).to_be_visible()


@pytest.mark.parametrize(("hours", "verdict"), [(3, "safe"), (36, "wont-last")])
def test_two_lines_are_answered_without_scrolling(page, served, noon, hours, verdict):
    _typed_order(page, noon, noon + timedelta(hours=hours))
    expect(page.locator("#answer [data-verdict]").first).to_have_attribute("data-verdict", verdict)
    assert [role for role in ROLES if not _is_in_sight(page, role)] == []
    assert _scrolled(page) == 0


def test_two_lines_are_saved_by_a_press_on_save_without_scrolling(page, served, noon):
    _typed_order(page, noon, noon + timedelta(hours=3))
    assert _is_in_sight(page, "save")
    box = page.locator("[data-role=save]").bounding_box()
    scrolled = page.evaluate("[scrollX, scrollY, document.querySelector('.answer-body').scrollTop]")
    assert scrolled == [0, 0, 0]
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    expect(page).to_have_url(re.compile(r"/counter/orders/\d+$"))
    expect(page.locator("[data-order]")).to_contain_text("Moira Penhaligon")


def test_pressing_an_alternative_keeps_the_verdict_in_sight_and_the_focus_in_the_answer(page, served, noon):
    _typed_order(page, noon, noon + timedelta(hours=36))
    offers = page.locator("#answer .alternative:visible")
    assert 1 <= offers.count() <= 3
    offers.first.click()
    wait_for_answers(page)
    assert _is_in_sight(page, "verdict")
    assert page.evaluate("Boolean(document.activeElement.closest('#answer'))")


def test_what_tests_hold_on_to_stands_on_the_empty_form(page):
    page.goto("/counter/")
    for role in ROLES:
        expect(page.locator(f"[data-role={role}]")).to_have_count(1)
        assert _is_in_sight(page, role)
