"""The ticket at the bench: the taps come first and are wide enough for gloves, the focus goes where the eye goes,
the drawing has the order's colours, and what another tablet does leaves alone what is typed or asked here."""

import re
from datetime import UTC, datetime, timedelta

import pytest
from playwright.sync_api import expect
from sqlalchemy import delete

from app.craft.build import Construction
from app.quoting.request import LineRequest
from app.store.models import DesignRow, OrderLine
from app.web.drawings.swatches import colour_look
from tests.actions.craft_builders import AIR, HELIUM, design
from tests.browser.gestures import burst, count_field, open_ticket, progress, tap

pytestmark = pytest.mark.browser

GLOVE_PX = 56
POLL_MS = 10_000
PORTRAIT, LANDSCAPE = (820, 1180), (1180, 820)
BUILDS = {
    Construction.BOUQUET: ([("18 in foil", HELIUM, 1, [("silver", 1)]), ("11 in latex", HELIUM, 9)], None),
    Construction.COLUMN: ([("11 in latex", AIR, 40)], {"height_m": 2.0, "pattern": "spiral"}),
    Construction.ARCH: (
        [("11 in latex", AIR, 124)],
        {"shape": "ellipse", "span_m": 3.0, "height_m": 2.4, "pattern": "spiral"},
    ),
    Construction.BASE: ([("11 in latex", AIR, 8)], None),
    Construction.LOOSE: ([("11 in latex", HELIUM, 3)], None),
}


@pytest.fixture
def put_piece(served):
    """Puts an order of one piece of this construction in these colours; what was designed for it goes again."""
    made = []

    def put(construction, colours):
        parts, figures = BUILDS[construction]
        with served.database.writing() as session:
            made.append(design(session, construction, parts, figures, name=f"{construction} {len(made)}").id)
        return served.put_order(lines=(LineRequest(None, made[-1], 1, colours),))

    yield put
    with served.database.writing() as session:
        session.execute(delete(OrderLine).where(OrderLine.design_id.in_(made)))
        for one in made:
            session.delete(session.get(DesignRow, one))


def _boxes(buttons):
    return buttons.evaluate_all("all => all.filter(e => e.checkVisibility()).map(e => e.getBoundingClientRect())")


def _expect_taps_first_and_within(page, width, height):
    """How many buttons there are."""
    page.set_viewport_size({"width": width, "height": height})
    first = _boxes(page.locator(".run .taps button"))
    every = _boxes(page.locator(".run button"))
    assert first
    assert all(box["top"] < 400 for box in first)
    assert all(box["bottom"] <= height and box["right"] <= width for box in every)
    assert page.evaluate("scrollY") == 0
    return len(every)


def _expect_room_for_gloves(page, width):
    page.set_viewport_size({"width": width, "height": 1000})
    pressed = page.locator("#ticket :is(button, a, summary, input:not([type=hidden]))")
    small = pressed.evaluate_all(
        "(all, least) => all.filter(e => e.checkVisibility() && e.getBoundingClientRect().height < least)"
        ".map(e => e.outerHTML.slice(0, 80))",
        GLOVE_PX,
    )
    assert small == []


def test_the_taps_stand_first_within_the_screen_and_all_are_wide_enough_for_gloves(page, served):
    """Before it is started, and while it is filled beside another one."""
    number = served.put_order()
    served.put_started_order()
    open_ticket(page, number)
    for size in (PORTRAIT, LANDSCAPE):
        _expect_taps_first_and_within(page, *size)
    tap(page.locator("#tap-start"))
    tap(page.locator("#tap-plus-1"))
    for size in (PORTRAIT, LANDSCAPE):
        page.evaluate("scrollTo(0, 0)")
        buttons = _expect_taps_first_and_within(page, *size)
        assert buttons >= 7  # +1, all left, two bursts, undo, add, and the stepper
    for width in (1280, 820, 390):
        _expect_room_for_gloves(page, width)


def test_a_stepper_counts_without_typing(page, served):
    open_ticket(page, served.put_started_order())
    more, fewer = page.get_by_role("button", name="One more"), page.get_by_role("button", name="One less")
    for _ in range(4):
        more.click()
    fewer.click()
    expect(count_field(page)).to_have_value("3")
    tap(page.locator("#tap-fill"))
    expect(progress(page)).to_contain_text("3 of 5 filled")
    for _ in range(9):
        more.click()
    expect(count_field(page)).to_have_value("2")


def test_the_focus_stays_on_what_was_tapped_and_then_goes_where_the_eye_goes(page, served):
    number, later = served.put_order(), served.put_order()
    open_ticket(page, number)
    tap(page.locator("#tap-start"))
    expect(page.locator("#tap-plus-1")).to_be_focused()
    tap(page.locator("#tap-plus-1"))
    expect(page.locator("#tap-plus-1")).to_be_focused()
    tap(burst(page, "red"))
    expect(burst(page, "red")).to_be_focused()
    tap(page.locator("#tap-undo"))
    expect(page.locator("#tap-undo")).to_be_focused()
    expect(page.locator("#ticket")).to_have_attribute("data-burst", "0")
    tap(page.locator("#tap-finish"))
    next_job = page.locator("#next-job")
    expect(next_job).to_be_focused()
    expect(next_job).to_contain_text("5 × 11 in latex")
    expect(next_job).to_contain_text("3 red")
    next_job.click()
    expect(page).to_have_url(re.compile(rf"/bench/batches/{later}-1$"))


def test_after_the_last_of_all_jobs_the_way_leads_to_the_bench(page, served):
    open_ticket(page, served.put_started_order())
    tap(page.locator("#tap-finish"))
    expect(page.locator("#next-job")).to_have_attribute("href", "/bench")
    tap(page.locator("#tap-undo"))
    expect(progress(page)).to_contain_text("0 of 5 filled")


@pytest.fixture
def slow_clock(tablet):
    """A page whose own clock goes on only when told, so that no test waits for the next poll."""
    page = tablet(alone=True)
    page.clock.install()
    return page


def _poll(page):
    with page.expect_response(lambda answer: "v=" in answer.url and "/static/" not in answer.url) as answer:
        page.clock.run_for(POLL_MS)
    expect(page.locator(".htmx-request")).to_have_count(0)
    return answer.value.status


def test_a_tap_on_another_tablet_leaves_what_is_typed_and_open_here(slow_clock, tablet, served):
    here, there, number = slow_clock, tablet(), served.put_started_order()
    open_ticket(here, number)
    here.locator("#more > summary").click()
    count_field(here).fill("2")
    open_ticket(there, number)
    tap(there.locator("#tap-plus-1"))
    assert _poll(here) == 200
    expect(progress(here)).to_contain_text("1 of 5 filled")
    expect(count_field(here)).to_have_value("2")
    expect(count_field(here)).to_be_focused()
    expect(here.locator("#more")).to_have_attribute("open", "")
    here.locator("#tap-fill").click()
    expect(progress(here)).to_contain_text("3 of 5 filled")
    expect(count_field(here)).to_have_value("")


def test_a_tap_on_another_tablet_leaves_a_question_that_stands_here(slow_clock, tablet, served, watch):
    watch.expected = ("422",)
    now = datetime.now(UTC).replace(second=0, microsecond=0)
    hours = {"ready_by": 6, "event_start": 7, "lasts_until": 14}
    number = served.put_order(**{name: now + timedelta(hours=ahead) for name, ahead in hours.items()})
    other = served.put_started_order()
    here, there = slow_clock, tablet()
    open_ticket(here, number)
    here.locator("#tap-start").click()
    expect(here.locator("#tap-wait")).to_be_focused()
    open_ticket(there, other)
    tap(there.locator("#tap-plus-1"))
    assert _poll(here) == 200
    expect(here.locator("[data-question=too-early]")).to_be_visible()
    expect(here.locator("#tap-wait")).to_be_focused()
    safe, anyway = (here.locator(one).bounding_box() for one in ("#tap-wait", "#tap-sure"))
    assert safe["height"] > anyway["height"]
    here.locator("#tap-sure").click()
    expect(here.locator("#ticket")).to_have_attribute("data-state", "started")


@pytest.mark.parametrize("construction", list(BUILDS))
def test_each_step_has_a_picture_in_the_colours_of_the_order(page, put_piece, construction):
    open_ticket(page, put_piece(construction, "teal, copper"), batch=len(BUILDS[construction][0]))
    steps = page.locator(".sheet-of-piece .steps-pictured li")
    assert steps.count() >= 4
    assert page.locator(".sheet-of-piece .steps-pictured li .step-picture").count() == steps.count()
    drawn = ".step-picture" if construction is Construction.LOOSE else ".sheet-picture"
    fills = page.locator(f".sheet-of-piece {drawn} circle.ball").evaluate_all(
        "all => all.map(e => getComputedStyle(e).fill)"
    )
    expected = {"teal", "copper"} | ({"silver"} if construction is Construction.BOUQUET else set())
    assert set(fills) == {_rgb(colour_look(name).fill) for name in expected}


def _rgb(fill):
    """A colour as the browser says it."""
    red, green, blue = (int(fill[place : place + 2], 16) for place in (1, 3, 5))
    return f"rgb({red}, {green}, {blue})"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_white_shows_on_white_and_black_on_dark(tablet, served, scheme):
    page = tablet(color_scheme=scheme)
    page.goto("/bench/calculator?form=column&height_m=2&colours=white,+black&pattern=spiral")
    looks = page.locator(".sheet-picture circle.ball").evaluate_all(
        "all => all.map(e => [getComputedStyle(e).fill, getComputedStyle(e).stroke])"
    )
    edges = {fill: edge for fill, edge in map(tuple, looks)}
    assert edges[_rgb("#ffffff")].startswith("rgba(24, 34, 47")
    assert edges[_rgb(colour_look("black").fill)].startswith("rgba(255, 255, 255")
