"""The owner's settings: one long page, on which a wrong value is found without looking for it."""

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser
FAR_DOWN = "#bag_most_layers"


@pytest.mark.parametrize("host", ["127.0.0.1", "shop.test"])
def test_after_a_wrong_value_the_focus_is_on_its_field_and_it_is_in_view(tablet, watch, host):
    watch.expected = ("422",)
    page = tablet(host)
    page.goto("/office/settings")
    page.fill(FAR_DOWN, "99")
    page.keyboard.press("Enter")
    expect(page.locator(".error-summary")).to_have_count(1)
    expect(page.locator(FAR_DOWN)).to_be_focused()
    expect(page.locator(FAR_DOWN)).to_be_in_viewport(ratio=1)
    expect(page.locator(f"{FAR_DOWN}-problem")).to_be_in_viewport(ratio=1)
    assert page.locator(FAR_DOWN).input_value() == "99"


def test_the_summary_leads_to_each_wrong_field(page, watch):
    watch.expected = ("422",)
    page.goto("/office/settings")
    page.fill("#shop_celsius", "warm")
    page.fill(FAR_DOWN, "99")
    page.locator("#save-settings").click()
    expect(page.locator("#shop_celsius")).to_be_focused()
    links = page.get_by_role("alert").get_by_role("link")
    expect(links).to_have_count(2)
    links.last.focus()
    page.keyboard.press("Enter")
    expect(page.locator(FAR_DOWN)).to_be_focused()
    expect(page.locator(FAR_DOWN)).to_be_in_viewport(ratio=1)


def test_without_a_wrong_value_nothing_takes_the_focus(page):
    page.goto("/office/settings")
    expect(page.get_by_role("alert")).to_have_count(0)
    assert page.evaluate("document.activeElement === document.body")
