"""Pick-ups under the thumb: checks of their size, the focus where the eye is, a question once, a tag on paper."""

import re
from datetime import timedelta

import pytest
from playwright.sync_api import expect
from sqlalchemy import select

from app.quoting.request import HandOver
from app.quoting.states import TapAction
from app.store.models import Order
from tests.browser.conftest import _this_minute
from tests.browser.findings import CONTRAST, axe_findings, own_findings, sideways
from tests.browser.gestures import at_every_size, choose_staff_name, tap

pytestmark = pytest.mark.browser

GLOVE_PX = 56
CHECKS = ("weighted", "caution-given")
ALL = ".check button, .check summary, .check .button, .door button"


@pytest.fixture
def filled(served):
    number = served.put_order()
    served.tap(number, TapAction.FINISH)
    return number


def _open(page):
    page.goto("/pickups/")
    expect(page.locator("h1")).to_be_visible()


def _overdue(served, number, by=timedelta(hours=1)):
    """The order should have left some time ago."""
    with served.database.writing() as session:
        order = session.scalars(select(Order).where(Order.number == number)).one()
        order.ready_by = _this_minute() - by


def _heights(page, what):
    return page.locator(what).evaluate_all(
        "all => all.filter(e => e.checkVisibility()).map(e => [e.innerText, e.getBoundingClientRect().height])"
    )


def _all_findings(page):
    return [*axe_findings(page), *own_findings(page), *sideways(page)]


def test_every_check_fits_the_thumb_ticked_or_not_at_every_size(page, filled):
    _open(page)
    tap(page.locator(f"#check-{filled}-weighted"))
    page.locator(f"#check-{filled}-paid summary").click()
    for _ in at_every_size(page):
        found = _heights(page, ALL)
        assert len(found) == 9  # four to tick and an undo, three ways to pay and their fold, the door
        assert [one for one in found if one[1] < GLOVE_PX - 0.5] == []
        assert sideways(page) == []


def test_the_focus_stays_where_the_thumb_was(page, watch, filled):
    watch.expected = ("422",)
    _open(page)
    for check in CHECKS:
        for _ in range(2):  # ticked, and its undo
            tap(page.locator(f"#check-{filled}-{check}"))
            expect(page.locator(f"#check-{filled}-{check}")).to_be_focused()
    tap(page.locator(f"#step-{filled}"))
    expect(page.locator("#not-yet")).to_be_focused()
    tap(page.locator("#not-yet"))
    expect(page.locator("[data-question]")).to_have_count(0)
    expect(page.locator(f"#order-{filled} :focus")).to_have_count(1)
    tap(page.locator(f"#step-{filled}"))
    tap(page.locator("#anyway"))
    expect(page.locator(f"#undo-{filled}")).to_be_focused()
    tap(page.locator(f"#undo-{filled}"))
    expect(page.locator(f"#order-{filled} :focus")).to_have_count(1)


def test_each_tick_says_who_and_when_and_goes_back_alone(page, filled):
    choose_staff_name(page, "Isolde")
    _open(page)
    for check in ("weighted", "bagged"):
        tap(page.locator(f"#check-{filled}-{check}"))
    done = page.locator(f"#order-{filled} [data-done=true]")
    expect(done).to_have_count(2)
    for place in range(2):
        expect(done.nth(place)).to_contain_text(re.compile(r"\d\d:\d\d, Isolde"))
    tap(page.locator(f"#check-{filled}-weighted"))
    expect(done).to_have_count(1)
    expect(done).to_have_attribute("data-of-step", "bagged")


def test_all_that_is_missing_is_asked_about_in_one_question_and_once(page, watch, served, filled):
    """What is answered at the question, here the money, is not asked about again."""
    watch.expected = ("422",)
    _open(page)
    tap(page.locator(f"#step-{filled}"))
    question = page.locator("[data-question]")
    expect(question).to_have_count(1)
    expect(question.locator("p")).to_have_count(2)
    safe, anyway = (page.locator(id).bounding_box() for id in ("#not-yet", "#anyway"))
    assert safe["width"] * safe["height"] > anyway["width"] * anyway["height"]
    assert _all_findings(page) == []
    tap(page.locator("#on-account"))
    tap(page.locator(f"#check-{filled}-weighted"))
    tap(page.locator(f"#step-{filled}"))
    expect(page.locator(f"#order-{filled}")).to_have_attribute("data-state", "gone")
    assert _all_findings(page) == []


def test_an_order_that_nobody_collected_shows_what_the_wait_does(page, served, filled):
    _overdue(served, filled)
    _open(page)
    card = page.locator(f"#order-{filled}")
    expect(card).to_have_attribute("data-state", "late")
    tap(page.locator(f"#check-{filled}-ready"))
    expect(card).to_have_attribute("data-state", "not-collected")
    expect(card.locator("[data-wait]")).to_have_attribute("data-wait-verdict", "safe")
    expect(card.locator("[data-wait]")).to_have_attribute("data-agreed", re.compile(r"\d+%"))
    assert _all_findings(page) == []
    for state in ({"color_scheme": "dark"}, {"forced_colors": "active"}):
        page.emulate_media(**state)
        assert axe_findings(page, CONTRAST) == []
    page.emulate_media(color_scheme="light", forced_colors="none")


def test_a_hand_over_that_has_left_is_one_line_on_a_tablet(page, watch, served):
    watch.expected = ("422",)
    number = served.put_order(customer="Umberfinch School")
    served.tap(number, TapAction.FINISH)
    page.set_viewport_size({"width": 820, "height": 1180})
    choose_staff_name(page, "Isolde")
    _open(page)
    tap(page.locator(f"#step-{number}"))
    tap(page.locator("#on-account"))
    tap(page.locator(f"#step-{number}"))
    tap(page.locator("#anyway"))
    row = page.locator(f"#order-{number}")
    expect(row).to_have_attribute("data-state", "gone")
    middles = row.locator(":scope > *").evaluate_all(
        "all => all.map(e => e.getBoundingClientRect()).map(box => box.top + box.height / 2)"
    )
    assert max(middles) - min(middles) < 8
    assert row.bounding_box()["height"] < 72


def test_a_message_is_not_printed(page):
    page.goto("/pickups/?day=foo")
    expect(page.locator("[data-flash]")).to_be_visible()
    page.emulate_media(media="print")
    expect(page.locator("[data-flash]")).to_be_hidden()


def test_the_time_line_is_there_once_at_every_size_and_its_labels_can_be_read(page, served):
    for _ in range(6):
        served.put_order()
    _open(page)
    for _ in at_every_size(page):
        chart = page.locator("[data-role=chart]")
        expect(chart.locator("svg[role=group]:visible")).to_have_count(1)
        expect(chart.locator("svg[role=group]:visible [data-mark]")).to_have_count(6)
        tall = chart.locator("svg[role=group]:visible .day-line-clock").first.evaluate(
            "one => one.getBoundingClientRect().height"
        )
        assert tall >= 16
        boxes = [sign.bounding_box() for sign in chart.locator("svg[role=group]:visible a").all()]
        assert len(boxes) == 6
        assert all(min(box["width"], box["height"]) >= 43.5 for box in boxes)


def test_a_place_is_typed_while_the_page_renews_itself_and_then_saved(page, served, filled):
    _open(page)
    place = page.locator(f"#place-{filled}")
    place.fill("Rail 3, le")
    version = page.locator("#board").get_attribute("data-version")
    served.put_order(customer="Tam Okoro")
    page.locator("#board").evaluate(
        "board => htmx.ajax('GET', board.getAttribute('hx-get'), { target: board, swap: 'outerMorph' })"
    )
    expect(page.get_by_text("Tam Okoro")).to_be_visible()
    assert page.locator("#board").get_attribute("data-version") != version
    expect(place).to_have_value("Rail 3, le")
    place.fill("Rail 3")
    tap(page.locator(f"#save-place-{filled}"))
    expect(page.locator(f"#order-{filled} [data-place]")).to_have_text("Rail 3")


def test_on_paper_the_tag_stands_alone(page, served, filled):
    page.goto(f"/pickups/{filled}/tag")
    page.emulate_media(media="print")
    seen = page.locator("body").inner_text()
    for what in (str(filled), "Odd Larsen", "Ready by", "Place"):
        assert what in seen
    for what in ("Counter", "Print this page", "CHOKING"):
        assert what not in seen
    pages = re.findall(rb"/Type\s*/Page\b", page.pdf(prefer_css_page_size=True))
    assert len(pages) == 1
    page.emulate_media(media="screen")


def test_a_driver_finds_address_phone_and_what_to_load(page, served):
    now = _this_minute()
    number = served.put_order(
        hand_over=HandOver.DELIVER,
        address="4 Mill Lane",
        travel_minutes=30,
        arrives_at=now + timedelta(hours=2, minutes=30),
    )
    _open(page)
    run = page.locator(f"[data-run='{number}']")
    expect(run).to_contain_text("4 Mill Lane")
    expect(run.get_by_role("link", name="Call 01632 960001")).to_have_attribute("href", "tel:01632960001")
    run.locator("summary").click()
    expect(run.locator("[data-load-group=balloons]")).to_contain_text("5 × 11 in latex")
    for _ in at_every_size(page):
        assert _all_findings(page) == []
    run.get_by_role("link", name=str(number), exact=True).click()
    expect(page.locator(f"#order-{number}")).to_be_in_viewport()
