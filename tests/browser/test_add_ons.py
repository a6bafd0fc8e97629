"""An order with add-ons, a discount and tax, taken at the counter; what is asked for shows when it is wanted."""

import re

import pytest
from playwright.sync_api import expect
from sqlalchemy import delete

from app.actions.shop.office import change_settings
from app.store.models import OrderExtra, Rental, SupplyRow
from tests.actions.supply_helpers import priced, stand, supply
from tests.browser.gestures import (
    Evening,
    check_order,
    fill_moment,
    fill_order,
    save_order,
    unfold,
    wait_for_answers,
)

pytestmark = pytest.mark.browser

NO_PRICES = {"delivery_minor": 0, "set_up_minor": 0, "take_down_minor": 0}
NO_TAX = {"tax_mode": "none", "tax_percent": 0, "deposit_percent": 0}


@pytest.fixture(autouse=True)
def priced_shop(served):
    """The served shop has things to add, prices for visits, and tax in its prices, for these tests only."""
    with served.database.writing() as session:
        priced(session, tax_mode="inclusive", tax_percent=20, deposit_percent=50)
        added = [supply(session).id, stand(session).id]
    yield
    with served.database.writing() as session:
        for table in (Rental, OrderExtra):
            session.execute(delete(table))
        session.execute(delete(SupplyRow).where(SupplyRow.id.in_(added)))
        change_settings(session, NO_PRICES | NO_TAX)


@pytest.fixture
def evening():
    return Evening.of_today()


def _add(page, place, label, quantity=""):
    page.click("#add-extra")
    choose = page.locator(f"#extras-{place}-what")
    option = choose.locator("option", has_text=re.compile(rf"^{re.escape(label)} ·"))
    choose.select_option(option.get_attribute("value"))
    page.fill(f"#extras-{place}-quantity", quantity)


def _row(page, title):
    return page.locator("#bill tr", has_text=title).locator("td")


def test_an_order_with_add_ons_discount_and_tax(page, evening):
    """By hand: 5 × 1.10, 2 × 4.50 and 12.00 are 26.50, less 10 % 23.85; tax 0.83 + 1.35 + 1.80 = 3.98."""
    fill_order(page, evening)
    _add(page, 0, "Plush bear", "2")
    _add(page, 1, "Arch stand")
    unfold(page, "#discount")
    page.fill("#discount", "10 %")
    back = page.locator("#return_by-hour")
    expect(back).to_be_visible()
    fill_moment(page, "return_by", evening.at(48))
    check_order(page)
    expect(_row(page, "Discount")).to_have_text("−£2.65")
    expect(_row(page, "tax")).to_have_text("£3.98")
    expect(page.locator("#bill tr.bill-sum").last.locator("td")).to_have_text("£53.85")
    save_order(page)
    said = page.locator(".read-back")
    for value in ("2 × Plush bear", "1 × Arch stand", "£23.85"):
        expect(said).to_contain_text(value)


def test_the_way_back_is_asked_for_only_where_something_comes_back(page, evening):
    fill_order(page, evening)
    back, down = page.locator("#return_by-hour"), page.locator("#take_down_at-hour")
    expect(back).to_be_hidden()
    _add(page, 0, "Arch stand")
    expect(back).to_be_visible()
    page.fill("#take_down_at-hour", "23:30")
    expect(page.locator("#address")).to_be_visible()  # a crew must know where, though they were collected
    page.locator("#extra-0").get_by_role("button", name="Remove").click()
    wait_for_answers(page)
    expect(down).to_be_visible()  # what was typed is never out of sight
    page.fill("#take_down_at-hour", "")
    check_order(page)
    expect(down).to_be_hidden()


def test_own_words_are_asked_for_only_where_they_are_wanted(page, evening):
    fill_order(page, evening)
    page.click("#add-extra")
    words = page.locator("#extras-0-title")
    expect(words).to_be_hidden()
    page.select_option("#extras-0-what", "other")
    expect(words).to_be_visible()


def test_delivered_offers_the_delivery_in_one_press(page, evening):
    fill_order(page, evening)
    offer = page.locator(".offer-delivery")
    expect(offer).to_be_hidden()
    page.locator("label", has=page.locator("#hand_over-deliver")).click()
    page.fill("#travel_minutes", "20")
    offer.click()
    expect(page.locator("#extras-0-what")).to_have_value("delivery")
    expect(_row(page, "1 × Delivery")).to_have_text("£15.00")
    expect(offer).to_be_hidden()


def test_hired_goods_offer_the_take_down(page, evening):
    fill_order(page, evening)
    offer = page.locator(".offer-take-down")
    expect(offer).to_be_hidden()
    _add(page, 0, "Arch stand")
    offer.click()
    expect(page.locator("#extras-1-what")).to_have_value("take-down")
    expect(offer).to_be_hidden()


def test_what_was_added_outlives_a_reload(page, evening):
    fill_order(page, evening)
    _add(page, 0, "Plush bear", "2")
    unfold(page, "#discount")
    page.fill("#discount", "5.00")
    page.reload()
    expect(page.locator("#extras-0-quantity")).to_have_value("2")
    expect(page.locator("#discount")).to_have_value("5.00")


def test_add_ons_are_taken_without_javascript_too(tablet, evening):
    plain = tablet(java_script_enabled=False)
    fill_order(plain, evening)
    _add(plain, 0, "Plush bear", "2")
    check_order(plain)
    expect(_row(plain, "2 × Plush bear")).to_have_text("£9.00")
    save_order(plain)
    expect(plain.locator(".read-back")).to_contain_text("2 × Plush bear")
