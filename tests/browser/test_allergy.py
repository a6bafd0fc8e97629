"""A latex allergy from the phone to the bench."""

import pytest
from playwright.sync_api import expect

from tests.browser.gestures import Evening, fill_order, open_ticket, save_order, unfold, wait_for_answers

pytestmark = pytest.mark.browser


def test_a_tick_warns_and_one_press_replaces_the_latex(page):
    fill_order(page, Evening.of_today())
    warning = page.locator("#answer [data-allergy]")
    expect(page.locator("#take")).to_be_visible()
    wait_for_answers(page)
    expect(warning).to_have_count(0)
    unfold(page, "#latex_allergy")
    page.check("#latex_allergy")
    expect(warning).to_have_attribute("data-allergy", "contains-latex")
    page.locator("#alternative-0-foil").click()
    expect(warning).to_have_attribute("data-allergy", "latex-free")
    expect(page.locator("#latex_allergy")).to_be_checked()
    page.reload()
    expect(page.locator("#latex_allergy")).to_be_checked()
    expect(warning).to_have_attribute("data-allergy", "latex-free")
    number = save_order(page)
    expect(page.locator("[data-allergy]")).to_have_attribute("data-allergy", "latex-free")
    open_ticket(page, number)
    expect(page.locator("#ticket [data-allergy]")).to_have_attribute("data-allergy", "latex-free")
