"""The owner's settings: a page for each subject, on which a wrong value is found without looking for it, and a
search over all of them."""

import pytest
from playwright.sync_api import expect

from app.quoting.settings.subjects import SUBJECTS

pytestmark = pytest.mark.browser
FAR_DOWN = "#bag_most_layers"
MOST_PX, MOST_TAB_STOPS = 1500, 36
TAB_STOPS = """[...document.querySelectorAll("a[href], button, input, select, textarea, summary")]
    .filter((one) => one.tabIndex >= 0 && one.checkVisibility()).length"""


@pytest.mark.parametrize("host", ["127.0.0.1", "shop.test"])
def test_after_a_wrong_value_the_focus_is_on_its_field_and_it_is_in_view(tablet, watch, host):
    watch.expected = ("422",)
    page = tablet(host)
    page.goto("/office/settings/bags")
    page.fill(FAR_DOWN, "99")
    page.keyboard.press("Enter")
    expect(page.locator(".error-summary")).to_have_count(1)
    expect(page.locator(FAR_DOWN)).to_be_focused()
    expect(page.locator(FAR_DOWN)).to_be_in_viewport(ratio=1)
    expect(page.locator(f"{FAR_DOWN}-problem")).to_be_in_viewport(ratio=1)
    assert page.locator(FAR_DOWN).input_value() == "99"


def test_the_summary_leads_to_each_wrong_field(page, watch):
    watch.expected = ("422",)
    page.goto("/office/settings/bags")
    page.fill("#stuffing_largest_in", "warm")
    page.fill(FAR_DOWN, "99")
    page.locator("#save-settings").click()
    expect(page.locator("#stuffing_largest_in")).to_be_focused()
    links = page.get_by_role("alert").get_by_role("link")
    expect(links).to_have_count(2)
    links.last.focus()
    page.keyboard.press("Enter")
    expect(page.locator(FAR_DOWN)).to_be_focused()
    expect(page.locator(FAR_DOWN)).to_be_in_viewport(ratio=1)


def test_without_a_wrong_value_nothing_takes_the_focus(page):
    page.goto("/office/settings/bags")
    expect(page.get_by_role("alert")).to_have_count(0)
    assert page.evaluate("document.activeElement === document.body")


def test_what_is_typed_finds_settings_at_once_and_each_leads_to_its_field(page):
    page.goto("/office/settings")
    page.locator("#settings-q").press_sequentially("vat")
    found = page.locator("[data-found-setting=tax_percent] a")
    expect(found).to_be_visible()
    found.click()
    expect(page.locator("#tax_percent")).to_be_in_viewport()


@pytest.mark.parametrize("subject", [one.key for one in SUBJECTS])
def test_a_page_of_settings_is_short(page, subject):
    page.set_viewport_size({"width": 1280, "height": 800})
    page.goto(f"/office/settings/{subject}")
    assert page.evaluate("document.documentElement.scrollHeight") < MOST_PX
    assert page.evaluate(TAB_STOPS) <= MOST_TAB_STOPS
