"""Money in the browser: a deposit pressed twice, undone, and an order handed over with the rest still due."""

import re

import pytest
from playwright.sync_api import expect
from sqlalchemy import select

from app.actions.shop.office import change_settings
from app.quoting.states import TapAction
from app.store.models import Order, Payment
from tests.browser.gestures import tap

pytestmark = pytest.mark.browser


@pytest.fixture
def asking(served):
    """The shop asks for half beforehand."""
    with served.database.writing() as session:
        change_settings(session, {"deposit_percent": 50})
    yield served
    with served.database.writing() as session:
        change_settings(session, {"deposit_percent": 0})


def _payments(served):
    with served.database.reading() as session:
        found = session.scalars(select(Payment).order_by(Payment.id))
        return [(one.amount_minor, one.how, one.undone_at is not None) for one in found]


def _open(page, number):
    page.goto(f"/counter/orders/{number}")
    expect(page.locator("#money")).to_be_visible()


def _expect_due(page, minor):
    expect(page.locator("#money .due")).to_have_attribute("data-due", str(minor))


def test_a_deposit_pressed_twice_is_saved_once_undone_and_the_rest_is_due_at_the_door(page, watch, asking):
    watch.expected = ("422",)
    number = asking.put_order()
    _open(page, number)
    _expect_due(page, 550)
    page.locator("#money").get_by_text("Card", exact=True).click()
    page.locator("button[value=in-price-275]").dblclick()
    expect(page).to_have_url(re.compile(r"#money$"))
    _expect_due(page, 275)
    assert _payments(asking) == [(275, "card", False)]
    tap(page.get_by_role("button", name="Undo £2.75"))
    _expect_due(page, 550)
    assert _payments(asking) == [(275, "card", True)]
    tap(page.locator("button[value=in-price-275]"))
    _hand_over_unpaid(page, asking, number)


def _hand_over_unpaid(page, served, number):
    served.tap(number, TapAction.FINISH)
    page.goto("/pickups/")
    mine = page.locator(f"#order-{number}")
    tap(mine.locator("[data-step=weighted]"))
    expect(mine.locator("[data-unpaid]")).to_contain_text("£2.75")
    for answer, state in (("#not-yet", "open"), ("#anyway", "handed over")):
        tap(mine.locator("[data-step='handed over']"))
        expect(mine.locator("[data-question=unpaid]")).to_contain_text("£2.75")
        expect(mine.locator("#not-yet")).to_be_focused()
        tap(mine.locator(answer))
        expect(mine.locator("[data-question]")).to_have_count(0)
        with served.database.reading() as session:
            assert session.scalars(select(Order.state)).one() == state
    expect(mine.locator(".owing-open")).to_contain_text("£2.75")
    page.goto(f"/counter/orders/{number}")
    handed = page.locator(".history [data-act='handed over']")
    expect(handed.locator("[data-is='handed over anyway']")).to_have_attribute("data-was", "2.75")


def test_enter_saves_the_typed_amount_and_not_the_one_beside_it(page, asking):
    number = asking.put_order()
    _open(page, number)
    page.fill("#amount", "1.20")
    page.press("#amount", "Enter")
    _expect_due(page, 430)
    assert _payments(asking) == [(120, "cash", False)]


def test_two_counters_with_the_same_page_save_it_once(tablet, asking, watch):
    watch.expected = ("422",)
    number = asking.put_order()
    first, second = tablet(), tablet()
    for page in (first, second):
        _open(page, number)
    first.locator("button[value=in-price-550]").click()
    _expect_due(first, 0)
    second.locator("button[value=in-price-550]").click()
    expect(second.locator("#amount-problem")).to_contain_text("£5.50")
    _expect_due(second, 0)
    assert len(_payments(asking)) == 1


def test_it_works_without_scripts(tablet, asking):
    number = asking.put_order()
    page = tablet(java_script_enabled=False)
    page.goto(f"/counter/orders/{number}")
    page.fill("#note", "at the door")
    page.locator("button[value=in-price-275]").click()
    assert _payments(asking) == [(275, "cash", False)]
    page.get_by_role("button", name="Undo £2.75").click()
    assert _payments(asking) == [(275, "cash", True)]


def test_the_printed_confirmation_is_the_confirmation_and_its_cautions(page, asking):
    number = asking.put_order()
    page.goto(f"/counter/orders/{number}/confirmation")
    page.emulate_media(media="print")
    for shown in (page.locator(".confirmation"), page.locator(".safety .caution"), page.locator("#cautions")):
        expect(shown).to_be_visible()
    for hidden in (page.locator(".top"), page.locator("#connection"), page.locator(".actions")):
        expect(hidden).to_be_hidden()
