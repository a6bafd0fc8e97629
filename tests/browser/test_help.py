"""The help in a browser: the float curve follows the sliders, with and without scripts, and the command takes a
picture."""

import io
import re

import pytest
from PIL import Image, ImageStat
from playwright.sync_api import expect

from tests.browser.demo import Demo
from tests.browser.gestures import choose_staff_name, wait_for_answers
from tests.browser.pictures import LOOKS, PICTURES, Picture, file_name, take

pytestmark = pytest.mark.browser

CHART = "[data-role=chart]"


def _median(page):
    return float(page.locator(CHART).get_attribute("data-median-hours"))


def _focus(page):
    return page.evaluate("document.activeElement.id")


def test_the_curve_follows_a_slider_and_the_focus_stays_on_it(page):
    page.goto("/help/numbers")
    before, words = _median(page), page.locator("output[for=celsius-curve]").inner_text()
    page.focus("#celsius-curve")
    for _ in range(20):
        page.keyboard.press("ArrowRight")
    expect(page.locator("output[for=celsius-curve]")).not_to_have_text(words)
    wait_for_answers(page)
    # Computed with the leak law: at 30 °C it floats 0.665 of its hours at 20 °C.
    assert _median(page) == pytest.approx(0.665 * before, abs=0.06)
    assert page.input_value("#celsius-curve") == "30"
    assert _focus(page) == "celsius-curve"
    assert page.url.endswith("/help/numbers")


def test_another_balloon_begins_full_and_what_was_set_else_stays(page):
    page.goto("/help/numbers")
    page.locator("#load-curve").fill("2")
    page.locator("#size-curve-4").fill("9")
    page.select_option("#balloon-curve", label="16 in latex")
    expect(page.locator("[id^=size-curve-]")).to_have_value("16")
    wait_for_answers(page)
    assert page.input_value("#load-curve") == "2"
    untreated = _median(page)
    page.check("#treated-curve")
    expect(page.locator(CHART)).not_to_have_attribute("data-median-hours", f"{untreated:.2f}")
    assert _median(page) > 5 * untreated


def test_without_scripts_a_button_draws_it(tablet):
    page = tablet(java_script_enabled=False)
    page.goto("/help/numbers")
    before = _median(page)
    page.locator("#load-curve").press("PageUp")
    page.locator(".curve-draw").click()
    expect(page).to_have_url(re.compile(r"/help/curve\?.*load="))
    assert _median(page) < before


def test_with_scripts_there_is_no_button(page):
    page.goto("/help/curve")
    expect(page.locator(".curve-draw")).to_be_hidden()


def test_on_a_telephone_the_curve_stays_in_sight_while_somebody_slides(tablet):
    page = tablet(width=390, height=844)
    page.goto("/help/numbers#float-curve")
    page.focus("#altitude-curve")
    page.locator("#treated-curve").scroll_into_view_if_needed()
    chart, slider = page.locator(CHART).bounding_box(), page.locator("#altitude-curve").bounding_box()
    assert chart["y"] >= -1
    assert slider["y"] >= chart["y"] + chart["height"]
    assert slider["y"] + slider["height"] <= 844


def test_the_command_takes_a_page_light_and_dark(page, served, chromium):
    choose_staff_name(page)
    served.put_order()
    orders = next(one for one in PICTURES if one.name == "orders")
    taken = dict(take([orders], Demo(served.address(), who="Noor"), chromium))
    assert taken.keys() == {file_name("orders", look) for look in ("light", "dark")}
    light, dark = (Image.open(io.BytesIO(taken[file_name("orders", look)])).convert("L") for look in LOOKS)
    assert light.size == dark.size == (orders.width, orders.height)
    assert ImageStat.Stat(light).mean[0] > 180
    assert ImageStat.Stat(dark).mean[0] < 90


def test_a_page_that_does_not_come_up_is_told_and_not_taken(page, served, chromium):
    choose_staff_name(page)
    strange = Picture("strange", "Nothing.", 390, 200, lambda page, _: page.goto("http://127.0.0.1:9/"))
    ((name, told),) = take([strange], Demo(served.address(), who="Noor"), chromium)
    assert name == "strange"
    assert isinstance(told, str)
