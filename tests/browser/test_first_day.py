"""The first day of an empty shop: from nothing to a safe, priced order with the keyboard alone, and no step that
loses what was typed."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.findings import CONTRAST, NARROW, axe_findings, own_findings, sideways
from tests.browser.gestures import SIZES
from tests.serving import running

pytestmark = pytest.mark.browser

MOST_PRESSES = 280
"""255 when it was counted, most of them letters of names and prices. In 10 minutes that leaves 2 s for each."""
STEPS = ("name", "zone", "money", "hours", "staff", "prices", "design", "cylinders", "backups")
ADDRESSES = (
    "/office/start",
    "/office/settings/shop?guide=name",
    "/office/settings/shop?guide=zone",
    "/office/settings/units?guide=money",
    "/office/hours?guide=hours",
    "/staff/?guide=staff",
    "/office/balloon-types/prices?guide=prices",
    "/office/designs/new?guide=design",
    "/office/designs/new?guide=design&starter=seven",
    "/office/gas/new?guide=cylinders",
    "/office/backups?guide=backups",
)


@pytest.fixture
def empty(chromium, tmp_path):
    """A page of a shop in which nothing was ever done."""
    address = f"sqlite:///{tmp_path / 'new.sqlite'}"
    with running(("-m", "app", "serve"), tmp_path / "server.log", DATABASE_URL=address) as port:
        window = chromium.new_context(base_url=f"http://127.0.0.1:{port}", viewport={"width": 1280, "height": 800})
        yield window.new_page()
        window.close()


class Keyboard:
    """Presses keys and counts them."""

    def __init__(self, page):
        self.page, self.count = page, 0

    def press(self, key, times=1):
        for _ in range(times):
            self.page.keyboard.press(key)
        self.count += times

    def type(self, text):
        self.page.keyboard.type(text)
        self.count += len(text)

    def go_to(self, selector, key="Tab"):
        """Goes on until the focus is there."""
        for _ in range(80):
            if self.page.evaluate("one => !!document.activeElement?.closest(one)", selector):
                return
            self.press(key)
        raise AssertionError(f"{selector} is not reached with {key}")

    def fill(self, selector, text):
        self.go_to(selector)
        self.page.locator(selector).evaluate("one => one.select?.()")  # as Tab does in a field
        self.type(text)

    def later(self):
        self.go_to("[data-guide-later]", "Shift+Tab")
        self.press("Enter")


def _is_at(page, step):
    expect(page.locator("[data-guide]")).to_have_attribute("data-guide", step)
    page.wait_for_load_state()  # until then, the focus may not be where the page puts it


def _enter_the_shop(keys):
    page = keys.page
    _is_at(page, "name")
    keys.fill("#name", "Pier")
    keys.fill("#shop_address", "1 Pier Road")
    keys.fill("#shop_phone", "01632 960000")
    keys.press("Enter")
    _is_at(page, "zone")
    keys.fill("#zone", "Europe/London")
    keys.press("Enter")
    _is_at(page, "money")
    keys.fill("#currency_symbol", "£")
    keys.press("Enter")
    _is_at(page, "hours")
    keys.later()
    _is_at(page, "staff")
    keys.type("Noor")
    keys.press("Enter")
    expect(page.locator(".names [value=Noor]")).to_be_focused()
    keys.press("Enter")


def _enter_the_goods(keys):
    page = keys.page
    _is_at(page, "prices")
    for price in range(1, page.locator("[data-column=price]").count() + 1):
        keys.type(str(price))
        keys.press("Enter")
    expect(page.locator("#save-prices")).to_be_focused()
    keys.press("Enter")
    _is_at(page, "design")
    keys.go_to("[data-starter=seven]")
    keys.press("Enter")
    expect(page.locator("#name")).not_to_have_value("")
    keys.go_to("#save")
    keys.press("Enter")
    _is_at(page, "cylinders")
    keys.fill("#name", "Ada")
    keys.fill("#holds", "50")
    keys.press("Enter")
    _is_at(page, "backups")
    keys.go_to("[data-guide-later]", "Shift+Tab")
    keys.press("Enter")


def _take_an_order(keys):
    page = keys.page
    keys.go_to("#to-counter")
    keys.press("Enter")
    expect(page.locator("#customer")).to_be_visible()
    keys.fill("#customer", "Odd")
    keys.fill("#phone", "01632 960001")
    keys.fill("#event_start-day", "tomorrow")
    for name, hour in (("event_start", "12"), ("lasts_until", "18"), ("hand_over_time", "11")):
        keys.fill(f"#{name}-hour", hour)
    keys.fill("#lines-0-find", "11 in")
    expect(page.locator("#finds-0 [data-text='11 in']")).to_be_visible()
    keys.press("Enter")
    expect(page.locator("#lines-0-quantity")).to_be_focused()
    keys.fill("#lines-0-quantity", "5")
    keys.fill("#lines-0-colours", "red")
    keys.press("Tab")
    expect(page.locator("[data-can-make]")).to_have_attribute("data-verdict", "safe")
    keys.go_to("#take")
    keys.press("Enter")
    expect(page).to_have_url(re.compile(r"/counter/orders/\d+$"))


def test_an_empty_shop_comes_to_a_safe_and_priced_order_with_the_keyboard_alone(empty):
    keys = Keyboard(empty)
    empty.goto("/")
    expect(empty).to_have_url(re.compile("/office/start$"))
    keys.go_to("#begin")
    keys.press("Enter")
    _enter_the_shop(keys)
    _enter_the_goods(keys)
    expect(empty.locator("[data-step][data-state=missing]")).to_have_count(1)
    expect(empty.locator("[data-step=backups]")).to_have_attribute("data-state", "missing")
    _take_an_order(keys)
    expect(empty.locator("#read-back")).to_contain_text("£")
    assert not empty.locator("[data-free]").count()
    assert keys.count <= MOST_PRESSES


def test_each_step_can_wait_and_back_and_reload_keep_what_was_typed(empty):
    empty.goto("/office/start")
    empty.locator("#begin").click()
    for step in STEPS:
        _is_at(empty, step)
        empty.locator("[data-guide-later]").click()
    expect(empty.locator("[data-step]")).to_have_count(len(STEPS))
    for path, field, typed in (
        (ADDRESSES[1], "#name", "Pier"),
        (ADDRESSES[4], "#opens-2", "9:30"),
        (ADDRESSES[6], "#price-4", "1.70"),
        (ADDRESSES[9], "#holds", "50"),
    ):
        empty.goto(path)
        empty.fill(field, typed)
        empty.reload()
        expect(empty.locator(field)).to_have_value(typed)
        empty.locator("[data-guide-later]").click()
        empty.locator("[data-guide-back]").click()
        expect(empty.locator(field)).to_have_value(typed)
        empty.locator("[data-guide-later]").click()
        empty.go_back()
        expect(empty.locator(field)).to_have_value(typed)


def test_a_double_press_saves_once_and_goes_on_one_step(empty):
    for path, fills, button, after in (
        (ADDRESSES[1], {"#name": "Pier"}, "#save-settings", "zone"),
        (ADDRESSES[9], {"#name": "Ada", "#holds": "50"}, "#save", "backups"),
        (ADDRESSES[5], {"#name": "Noor"}, "form[action='/staff/new'] button", "staff"),
    ):
        empty.goto(path)
        for field, text in fills.items():
            empty.fill(field, text)
        empty.locator(button).dblclick()
        _is_at(empty, after)
        expect(empty.locator(".error-summary")).to_have_count(0)
    expect(empty.locator(".names [value=Noor]")).to_have_count(1)
    empty.goto("/office/gas")
    expect(empty.get_by_role("link", name="Ada")).to_have_count(1)


def test_nothing_is_found_on_any_step_in_light_and_dark_at_every_size(empty):
    """Everything in the widest and in the narrowest window; in the dark, which moves nothing, what can be read."""
    found = {}
    for path in ADDRESSES:
        empty.goto(path)
        for size, (width, height) in SIZES.items():
            empty.set_viewport_size({"width": width, "height": height})
            found[path, size] = sideways(empty)
            if size != "tablet":
                found[path, size] += [*axe_findings(empty), *own_findings(empty)]
        empty.emulate_media(color_scheme="dark")
        found[path, "dark"] = axe_findings(empty, CONTRAST)
        empty.emulate_media(color_scheme="light")
        empty.set_viewport_size({"width": NARROW, "height": 640})
        found[path, "narrow"] = sideways(empty)
    assert not any(found.values()), "\n".join(f"{at}: {one}" for at, every in found.items() for one in every)


def test_after_a_name_a_letter_begins_the_next_one(empty):
    empty.goto("/staff/?guide=staff")
    for name in ("Noor", "Ben"):
        empty.keyboard.type(name)
        empty.keyboard.press("Enter")
        expect(empty.locator(f".names [value={name}]")).to_be_visible()
    _is_at(empty, "staff")
    empty.locator(".names [value=Noor]").click()
    _is_at(empty, "prices")


def test_a_wrong_price_is_typed_over(empty):
    empty.goto("/office/balloon-types/prices?guide=prices")
    empty.keyboard.type("abc")
    empty.locator("#save-prices").click()
    expect(empty.locator("[data-price-list] [aria-invalid=true]")).to_be_focused()
    empty.keyboard.type("1.50")
    expect(empty.locator("[data-price-list] [aria-invalid=true]")).to_have_value("1.50")


def test_what_one_form_of_a_page_saves_leaves_what_is_typed_in_the_other(empty):
    empty.goto(ADDRESSES[4])
    empty.fill("#opens-2", "9:30")
    empty.fill("#day", "25 Dec 2027")
    empty.fill("#opens", "10:00")
    empty.fill("#closes", "12:00")
    empty.get_by_role("button", name="Save exception").click()
    expect(empty.locator("[data-flash]")).not_to_have_count(0)
    empty.goto(ADDRESSES[4])
    expect(empty.locator("#opens-2")).to_have_value("9:30")
    expect(empty.locator("#day")).to_have_value("")
