"""Every page, at the widths of a laptop, a tablet and a telephone."""

import re
from collections import Counter

import pytest
from playwright.sync_api import expect
from sqlalchemy import select

from app.actions.records.orders import load_order
from app.quoting.states import TapAction
from app.store.models import DesignRow, SupplyRow
from tests.actions.cylinder_helpers import in_use, read
from tests.actions.photographs import photo_of_design, photo_of_order
from tests.actions.rental_helpers import arch, hand_over, pole, rental
from tests.browser.conftest import NAMED_HOST
from tests.browser.findings import AXE, CONTRAST, NARROW, axe_findings, own_findings, sideways
from tests.browser.findings import small_targets as targets_below_a_finger
from tests.browser.gestures import Evening, at_every_size, burst, check_order, fill_order, open_ticket, tap

pytestmark = pytest.mark.browser

TOUCH_PX = 44
PAGES = (
    "/counter/",
    "/counter/quick-sale",
    "/counter/quick-sale?what=own-12&quantity=3",
    "/counter/quick-sale?sold={sale}",
    "/counter/orders",
    "/counter/weeks",
    "/counter/customers/{customer}",
    "/counter/orders/{number}",
    "/counter/orders/{number}/change",
    "/counter/orders/{number}/confirmation",
    "/office/orders/{number}",
    "/bench",
    "/bench?day=2026-11-28",
    "/bench/batches/{number}-1",
    "/bench/calculator?form=bouquet",
    "/bench/calculator?form=garland",
    "/bench/gas",
    "/bench/staff",
    "/bench/staff?from=0:00&to=23:59&by=-1",
    "/pickups/",
    "/pickups/?day={day}",
    "/office/review",
    "/office/review/orders",
    "/office/",
    "/office/settings?q=vat",
    "/office/settings/shop",
    "/office/settings/bouquets",
    "/office/settings/history",
    "/office/start",
    "/office/settings/units?guide=money",
    "/staff/?guide=staff",
    "/office/hours",
    "/office/hours/closed",
    "/office/bench",
    "/office/balloon-types",
    "/office/balloon-types/prices",
    "/office/supplies/prices",
    "/office/balloon-types/colours",
    "/office/balloon-types/new?material=foil",
    "/office/balloon-types/4",
    "/office/balloon-types/4/weigh?ten=31",
    "/office/timing?gas=helium&balloon_type=4&fills=10&seconds=38",
    "/office/work-times",
    "/office/supplies",
    "/office/supplies/new",
    "/office/supplies/new?sort=rental",
    "/office/supplies/1",
    "/office/stock",
    "/office/stock/balloon-type/4",
    "/office/stock/supply/{supply}",
    "/office/stock/buying",
    "/bench/fetch-list",
    "/bench/fetch-list?day=2026-11-28",
    "/office/designs",
    "/office/designs/new",
    "/office/designs/{design}",
    "/office/gas",
    "/office/gas/new",
    "/office/gas/{cylinder}",
    "/counter/orders/{photographed}",
    "/office/designs/of-photo/{photo}",
    "/office/rentals",
    "/pickups/orders/{rental}/back",
    "/pickups/{number}/tag",
    "/office/backups",
    "/health",
    "/staff/",
    "/help",
    "/help?q=treated",
    "/help/counter",
    "/help/settings",
    "/help/words",
    "/help/keys",
    "/help/numbers",
    "/help/curve?treated=1",
)

NO_PAGES = {
    *("bench.board_json", "health.show_json", "open_quote.description", "photos.pixels", "static", "front", "icon"),
    *("counter.orders_csv", "office.buying_csv", "office.gas_csv", "office.rentals_csv", "office.review_csv"),
    *("office.stock_csv", "office.work_times_csv", "office.balloon_type_prices_csv", "office.supply_prices_csv"),
    "office.question_csv",
    *("bench.more", "counter.callers", "counter.goods", "day_echo", "hours_echo", "office.long_work"),
}
"""Tables, pictures, the way to the front page, and what htmx asks for."""


@pytest.fixture
def page(tablet):
    return tablet(host=NAMED_HOST)


def refuse_sideways(page):
    wide, room = page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    assert wide <= room, _too_wide(page, wide, room)


def refuse_sideways_at_every_size(page):
    for width in at_every_size(page):
        assert page.evaluate("innerWidth") == width
        refuse_sideways(page)


def _too_wide(page, wide, room):
    return f"{page.url} is {wide} px wide in a window of {room} px: {_what_sticks_out(page)}"


def _what_sticks_out(page):
    return page.evaluate(
        """[...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > innerWidth + 1)
           .slice(0, 5).map(e => `${e.tagName} ${e.className.baseVal ?? e.className} ${e.id}`)"""
    )


def small_targets(page, what):
    """The buttons too low for a thumb, as (text, height)."""
    found = page.locator(what).evaluate_all(
        "all => all.filter(e => e.checkVisibility()).map(e => [e.innerText, e.getBoundingClientRect().height])"
    )
    return [(text, height) for text, height in found if height < TOUCH_PX]


def _lived_in(served):
    """A shop with an order whose words are as long as the forms take them, one done, one not safe."""
    number = served.put_order(
        customer="Wilhelmina-Alexandra Featherstonehaugh-Cholmondeley of Zephyrwick Over Water",
        notes="An-unbroken-word-" * 20,
    )
    evening = Evening.of_today()
    served.put_order(lasts_until=evening.at(40), accepted_risk="only until the cake")
    served.tap(served.put_order(), TapAction.FINISH)
    return {
        "number": number,
        "customer": _customer(served, number),
        "day": f"{evening.ready:%Y-%m-%d}",
        "sale": served.put_sale(),
        "design": served.put_design(),
        "rental": _rented(served, evening),
        "cylinder": _cylinder(served, evening),
        "supply": _supply(served),
        **_photographed(served),
    }


def _customer(served, number):
    """Whose order it is."""
    with served.database.reading() as session:
        return load_order(session, number).customer_id


def _photographed(served):
    """An order of two lines that stands ready, with a photo; and a photo of each design."""
    number = served.put_order(bench_override="By turns.")
    with served.database.writing() as session:
        for design_id in session.scalars(select(DesignRow.id)).all():
            photo_of_design(session, design_id, key=f"test-{next(served.keys)}")
        photo = photo_of_order(session, number, key=f"test-{next(served.keys)}")
        return {"photographed": number, "photo": photo.key}


def _rented(served, evening):
    """An order with two sorts of hired goods that is with the customer, to be taken down after the event."""
    with served.database.writing() as session:
        catalogue = (rental(pole(session), 12), rental(arch(session), 1))
    number = served.put_order(extras=catalogue, take_down_at=evening.at(7), address="The Corn Hall, 1 High Street")
    with served.database.writing() as session:
        hand_over(session, load_order(session, number), evening.now)
    return number


def _supply(served):
    """One that the shop may count."""
    with served.database.reading() as session:
        return session.scalars(
            select(SupplyRow.id).where(SupplyRow.sort != "rental").order_by(SupplyRow.id)
        ).first()


def _cylinder(served, evening):
    """One in use under a long name, read twice, of gas that is not what the hours are reckoned with."""
    with served.database.writing() as session:
        row = in_use(session, now=evening.now, name="Grey-114-from-the-yard-behind-the-shops", purity_percent=92)
        read(session, row, 100, evening.at(1))
        return row.id


LOOK = """() => [document.documentElement.scrollWidth, innerWidth,
    [...document.querySelectorAll('button:not(.first-button), .button, summary')].filter(e => e.checkVisibility())
        .map(e => [e.textContent.trim(), e.getBoundingClientRect().height])]"""
"""How wide a page is in its window, and its buttons with their heights: asked at once, for there are many pages."""


ZOOMED = 640
"""1280 px at 200 %."""


def _found_at_every_size(page, without):
    """What axe-core, without these rules, and we find on a page, sticks out of the window, or leaves a finger no
    room."""
    page.set_viewport_size({"width": 1280, "height": 800})
    found = [*axe_findings(page, without=without), *own_findings(page)]
    for width in at_every_size(page):
        wide, room, targets = page.evaluate(LOOK)
        assert room == width
        assert wide <= room, _too_wide(page, wide, room)
        found += [(width, text, tall) for text, tall in targets if tall < TOUCH_PX]
    for width in (ZOOMED, NARROW):
        page.set_viewport_size({"width": width, "height": 640})
        found += sideways(page)
    return [*found, *targets_below_a_finger(page)]


def test_every_page_says_where_it_is_and_nothing_is_found_on_it_at_any_size(tablet, served):
    """One walk over all pages for all of it, because to open them takes the longest. Contrasts are looked at on a
    third of them: all have the same stylesheets, of which tests/web/test_contrast.py computes every pair."""
    page = tablet(host=NAMED_HOST, alone=True)
    page.add_init_script(AXE)
    names, found, titles = _lived_in(served), [], Counter()
    for place, path in enumerate(PAGES):
        assert page.goto(path.format(**names)).status == 200
        expect(page.locator("h1")).to_have_count(1)
        expect(page.locator("nav [aria-current=page]").or_(page.locator(".names"))).not_to_have_count(0)
        titles[page.title()] += 1
        found += [f"{path}: {one}" for one in _found_at_every_size(page, CONTRAST if place % 3 else ())]
    assert not found, "\n".join(found)
    alike = {title: count - 1 for title, count in titles.items() if count > 1}
    # The sale's three, and two each of craft, hands, pick-ups, new designs and names.
    assert sum(alike.values()) <= 7, alike


def test_no_page_is_left_out(shared_app):
    numbers = dict.fromkeys(re.findall(r"{(\w+)}", " ".join(PAGES)), 1)
    addresses = shared_app.url_map.bind("shop.test")
    paths = {path.format(**numbers).partition("?")[0] for path in PAGES}
    seen = {addresses.match(path)[0] for path in paths}
    gets = {rule.endpoint for rule in shared_app.url_map.iter_rules() if "GET" in rule.methods}
    assert gets - seen == NO_PAGES


def test_the_header_is_one_row(page):
    page.goto("/staff/")
    page.get_by_label("New name").fill("Wilhelmina-Alexandra Featherstonehaugh")
    page.get_by_role("button", name="Add name").click()
    page.locator(".names button").first.click()
    for path in ("/bench", "/counter/", "/help"):
        page.goto(path)
        for width in (820, 1280):
            page.set_viewport_size({"width": width, "height": 1180})
            assert page.evaluate("document.querySelector('.top').offsetHeight") < 2 * TOUCH_PX
            refuse_sideways(page)


def test_a_page_begins_at_its_top_on_a_telephone(page):
    page.set_viewport_size({"width": 390, "height": 844})
    for path in ("/office/review", "/office/hours", "/counter/weeks", "/bench/calculator"):
        page.goto(path)
        expect(page.locator(".top")).to_be_in_viewport()
        assert page.evaluate("scrollY") == 0, path


def test_the_question_mark_leads_to_the_section_of_its_page(page):
    page.goto("/bench/gas")
    page.get_by_role("link", name="Help for this page").click()
    expect(page).to_have_url(re.compile(r"/help/bench#cylinders$"))
    expect(page.locator("#cylinders h2")).to_be_in_viewport()
    page.get_by_role("searchbox", name="Search the help").fill("holding area")
    page.keyboard.press("Enter")
    expect(page.locator(".help-hits mark").first).to_be_visible()


def test_the_counter_with_an_answer_and_with_problems_stays_within_its_width(page):
    fill_order(page, Evening.of_today())
    check_order(page)
    expect(page.locator("#answer .strip")).to_be_visible()
    refuse_sideways_at_every_size(page)
    page.fill("#phone", "ask for Bo")
    page.fill("#lines-0-quantity", "many")
    check_order(page)
    expect(page.locator(".all-problems li")).to_have_count(2)
    refuse_sideways_at_every_size(page)


def test_a_ticket_with_taps_on_it_has_room_for_every_thumb(page, served):
    open_ticket(page, served.put_started_order())
    tap(burst(page, "red"))
    expect(page.get_by_role("button", name="Undo", exact=True)).to_have_count(2)
    expect(page.get_by_role("button", name="Undo burst")).to_have_count(1)
    for _ in at_every_size(page):
        refuse_sideways(page)
        assert small_targets(page, "[data-tap]") == []


def test_a_page_that_is_not_there_says_so_in_the_shops_dress(page, watch):
    watch.expected = ("404",)
    answer = page.goto("/bench/batches/none")
    assert answer.status == 404
    expect(page.locator("main")).to_have_attribute("data-status", "404")
    expect(page.get_by_role("alert")).to_contain_text("none")
    refuse_sideways_at_every_size(page)
