"""The board at the bench: what the eye meets first, taps with gloves on, and where the focus is after each."""

import re

import pytest
from playwright.sync_api import expect

from app.actions.orders.cancel import Cancellation, cancel_order
from app.actions.records.catalogue import load_catalogue
from app.actions.records.orders import load_order
from app.quoting.request import LineRequest
from app.quoting.states import CancelReason, TapAction
from tests.actions.builders import ctx
from tests.browser.conftest import NAMED_HOST
from tests.browser.gestures import Evening, choose_staff_name, tap, wait_for_answers

pytestmark = pytest.mark.browser

POLL_MS = 10_000
NOW_TOP_PX = 150
NOW_DIGITS_PX = 66
"""Nine millimetres on a tablet that is 158 mm and 820 px wide: digits are 0.72 of their font size at least."""
ROW_PX = 88
ROWS = 8


@pytest.fixture
def bench(tablet):
    return tablet(width=820, height=1180)


@pytest.fixture
def panel(bench):
    """The panel on which the eye falls."""
    return bench.locator("[data-role=now] .panel").first


def _focused(page):
    return page.evaluate("document.activeElement.id")


def _box(locator):
    return locator.bounding_box()


def test_now_is_read_from_afar_and_stands_at_the_top(bench, served, panel):
    number = served.put_order()
    bench.goto("/bench")
    expect(panel).to_have_id(f"batch-{number}-1")
    for digits in (".panel-time", ".panel-count"):
        size = panel.locator(digits).first.evaluate("one => parseFloat(getComputedStyle(one).fontSize)")
        assert size >= NOW_DIGITS_PX
    assert _box(panel)["y"] < NOW_TOP_PX
    assert _box(panel.locator("[data-colour=red] .swatch"))["height"] > 20
    start = _box(panel.get_by_role("button", name="Start"))
    assert start["height"] >= 56
    assert start["y"] + start["height"] < 400


def test_eight_rows_of_next_are_seen_with_now(bench, served, panel):
    numbers = [served.put_order(customer=f"Odd Larsen {place}") for place in range(ROWS + 1)]
    bench.goto("/bench")
    rows = bench.locator("[data-role=next]")
    expect(rows).to_have_count(ROWS)
    boxes = [_box(row) for row in rows.all()]
    assert max(box["height"] for box in boxes) <= ROW_PX
    assert boxes[-1]["y"] + boxes[-1]["height"] <= bench.viewport_size["height"]
    assert len(numbers) == ROWS + 1
    expect(rows.first.locator(".strip-slim")).to_be_visible()
    bench.get_by_text("Days and lists").click()
    bench.get_by_text("What the strip shows").click()
    expect(bench.locator(".strip-key li").first).to_be_visible()


LONG = "The Zephyrwick Choral and Operatic Society with its Children's Choir"
MANY = "3 rose gold, 3 night blue, 3 forest green, 3 champagne, 3 hot pink, 3 burgundy, 3 lavender"


@pytest.mark.parametrize("width", [1280, 820])
def test_a_row_of_long_names_and_many_colours_is_no_higher(tablet, served, width):
    for _ in range(2):
        served.put_order(customer=LONG, lines=_line(served, 21, MANY))
    page = tablet(width=width, height=1180)
    page.goto("/bench")
    row = page.locator("[data-role=next]")
    expect(row.locator("[data-joined]")).to_be_visible()
    assert _box(row)["height"] <= ROW_PX
    middle = _box(row.locator(".job-what"))
    for part in (".job-count strong", ".colours", ".colours-more", ".job-whose", "[data-joined]"):
        box = _box(row.locator(part))
        assert box["width"] > 40, part
        assert box["x"] + box["width"] <= middle["x"] + middle["width"] + 1, part
    assert row.locator("[data-colour]").count() == 3
    page.goto(row.locator(".batch-link").get_attribute("href"))
    expect(page.locator(".ticket-colours li")).to_have_count(7)


def test_one_press_starts_five_more_are_one_press_and_the_focus_goes_along(bench, served, panel):
    number = served.put_order(lines=_line(served, 12, "12 red"))
    bench.goto("/bench")
    tap(panel.get_by_role("button", name="Start"))
    expect(panel).to_have_attribute("data-state", "started")
    assert _focused(bench) == f"plus-1-{number}-1"
    tap(panel.get_by_role("button", name="+ 5"))
    expect(panel).to_have_attribute("data-filled", "5")
    expect(panel.locator(".panel-time")).to_have_text("5 of 12")
    assert _focused(bench) == f"plus-5-{number}-1"
    tap(panel.get_by_role("button", name="+ 5"))
    assert _focused(bench) == f"plus-1-{number}-1", "only 2 are left, so + 5 is gone"
    tap(panel.get_by_role("group", name="Burst").get_by_role("button", name="red"))
    expect(panel).to_have_attribute("data-burst", "1")
    assert _focused(bench) == f"burst-1-{number}-1"
    tap(panel.locator(f"#undo-{number}-1"))
    expect(panel).not_to_have_attribute("data-burst", "1")
    assert _focused(bench) == f"undo-{number}-1"


def _line(served, quantity, colours):
    with served.database.reading() as session:
        kinds = load_catalogue(session).balloon_types.values()
    return (LineRequest(next(one.id for one in kinds if one.name == "11 in latex"), None, quantity, colours),)


def test_after_the_last_tap_the_focus_is_on_the_next_start_and_an_undo_brings_it_back(bench, served, panel):
    first, second = served.put_started_order(), served.put_order(customer="Liv Berg")
    choose_staff_name(bench, "Noor")
    bench.goto("/bench")
    tap(panel.get_by_role("button", name="All 5 filled"))
    expect(panel).to_have_id(f"batch-{second}-1")
    assert _focused(bench) == f"start-{second}-1"
    bench.locator("#done > summary").click()
    tap(bench.locator(f"#undo-{first}-1"))
    expect(panel).to_have_id(f"batch-{first}-1")
    assert _focused(bench) == f"undo-{first}-1", "what was undone is in Now again, with its tap before"


def test_each_who_fills_has_a_panel_and_ones_own_is_the_big_one(bench, served, panel):
    noors, waiting = served.put_started_order(), served.put_order(customer="Liv Berg")
    choose_staff_name(bench, "Isa")
    bench.goto("/bench")
    panels = bench.locator("[data-role=now] .panel")
    expect(panels).to_have_count(2)
    expect(panel).to_have_id(f"batch-{waiting}-1")
    expect(panels.nth(1)).to_contain_text("Noor")
    big, small = (_size(one.locator(".panel-time")) for one in panels.all())
    assert big > 1.5 * small
    choose_staff_name(bench, "Noor")
    bench.goto("/bench")
    expect(panel).to_have_id(f"batch-{noors}-1")
    expect(bench.locator(f"#batch-{waiting}-1")).to_have_attribute("data-role", "next")


def _size(locator):
    return locator.evaluate("one => parseFloat(getComputedStyle(one).fontSize)")


def test_when_today_is_done_the_next_days_jobs_are_named(bench, served, panel):
    number = served.put_order()
    evening = Evening.of_today()
    hours = {"ready_by": evening.at(26), "event_start": evening.at(27), "lasts_until": evening.at(30)}
    tomorrows = served.put_order(**{key: at.replace(second=0, microsecond=0) for key, at in hours.items()})
    served.tap(number, TapAction.FINISH)
    bench.goto("/bench")
    expect(panel).to_have_id(f"batch-{tomorrows}-1")
    expect(bench.locator("[data-day]").first).to_have_attribute("data-day", f"{evening.at(24):%Y-%m-%d}")
    expect(bench.locator("#now-title")).to_contain_text(f"{evening.at(24):%A}")


def test_a_renewal_leaves_what_is_open_and_what_is_set(tablet, served):
    page = tablet(alone=True, width=820, height=1180)
    page.clock.install()
    number = served.put_started_order()
    page.goto("/bench")
    page.locator("#bench-lists > summary").click()
    page.locator(f"#more-{number}-1 > summary").click()
    count = page.locator(f"#count-{number}-1")
    for _ in range(3):
        page.locator(f"#more-{number}-1").get_by_role("button", name="one more").click()
    expect(count).to_have_value("4")
    served.put_order(customer="Liv Berg")
    with page.expect_response(lambda answer: "v=" in answer.url and "/static/" not in answer.url):
        page.clock.run_for(POLL_MS)
    expect(page.locator(".batch", has_text="Liv Berg")).to_have_count(1)
    expect(count).to_have_value("4")
    expect(count).to_be_visible()
    expect(page.locator("#bench-lists-box, .bench-lists-box")).to_be_visible()
    page.locator(f"#more-{number}-1").get_by_role("button", name="Add").click()
    expect(page.locator(f"#batch-{number}-1")).to_have_attribute("data-filled", "4")


def test_a_renewal_brings_only_what_changed_and_the_rest_stays(tablet, served):
    page = tablet(alone=True, width=820, height=1180)
    page.clock.install()
    numbers = [served.put_order(customer=f"Odd Larsen {place}") for place in range(5)]
    page.goto("/bench")
    last = page.locator(f"#batch-{numbers[4]}-1")
    page.locator(f"#more-{numbers[4]}-1 > summary").click()
    expect(last.get_by_role("button", name="Start")).to_be_visible()
    last.evaluate("one => one.classList.add('untouched')")
    served.tap(numbers[3], TapAction.FINISH)
    with page.expect_response(lambda answer: "v=" in answer.url and "/static/" not in answer.url) as answer:
        page.clock.run_for(POLL_MS)
    assert answer.value.text().count("data-kept") == len(numbers) - 2, "all but the one in Now and the one tapped"
    expect(page.locator(f"[data-role=done] #batch-{numbers[3]}-1")).to_have_count(1)
    expect(page.locator("[data-kept]")).to_have_count(0)
    expect(page.locator("[data-role=next]")).to_have_count(3)
    expect(last).to_have_class(re.compile("untouched"))
    expect(last.get_by_role("button", name="Start")).to_be_visible()
    tap(last.get_by_role("button", name="Start"))
    expect(page.locator(f"[data-role=now] #batch-{numbers[4]}-1")).to_have_attribute("data-state", "started")
    expect(page.locator(f"#batch-{numbers[1]}-1 .job-whose")).to_contain_text("Odd Larsen 1")


def test_a_row_that_was_open_is_filled_again_when_all_of_the_board_is_drawn_anew(tablet, served):
    page = tablet(alone=True, width=820, height=1180)
    page.clock.install()
    numbers = [served.put_order(customer=f"Odd Larsen {place}") for place in range(3)]
    page.goto("/bench")
    page.locator(f"#more-{numbers[2]}-1 > summary").click()
    start = page.locator(f"#batch-{numbers[2]}-1").get_by_role("button", name="Start")
    expect(start).to_be_visible()
    page.evaluate("delete document.getElementById('board').dataset.version")
    served.tap(numbers[1], TapAction.FINISH)
    with page.expect_response(lambda answer: "v=" in answer.url and "/static/" not in answer.url) as answer:
        page.clock.run_for(POLL_MS)
    assert "data-kept" not in answer.value.text()
    expect(page.locator(f"[data-role=done] #batch-{numbers[1]}-1")).to_have_count(1)
    expect(start).to_be_visible()


def test_a_tablet_sounds_when_a_batch_becomes_due_if_it_was_told_to(tablet, served):
    page = tablet(alone=True, width=820, height=1180)
    page.clock.install()
    page.goto("/bench")
    sound = page.locator("#sound")
    expect(sound).to_have_attribute("aria-pressed", "false")
    sound.click()
    expect(sound).to_have_attribute("aria-pressed", "true")
    page.reload()
    expect(sound).to_have_attribute("aria-pressed", "true")
    device = page.locator("#device")
    expect(device).not_to_have_attribute("data-sounded", "1")
    evening = Evening.of_today()
    soon = {"ready_by": evening.at(0.7), "event_start": evening.at(1), "lasts_until": evening.at(4)}
    served.put_order(**{key: at.replace(second=0, microsecond=0) for key, at in soon.items()})
    with page.expect_response(lambda answer: "v=" in answer.url and "/static/" not in answer.url):
        page.clock.run_for(POLL_MS)
    expect(page.locator("[data-state=due], [data-state=late]")).to_have_count(1)
    expect(device).to_have_attribute("data-sounded", "1")


def test_the_screen_stays_on_only_where_a_browser_allows_it(tablet, served):
    """By the name of the shop's server the page is no secure one, so the browser has no lock to give."""
    page = tablet(host=NAMED_HOST)
    page.goto("/bench")
    expect(page.locator("#device")).to_be_visible()
    expect(page.locator("#awake")).to_be_hidden()
    assert page.evaluate("'wakeLock' in navigator") is False


def test_what_is_cancelled_while_it_is_filled_says_stop_in_now(bench, served):
    number = served.put_started_order()
    _cancel(served, number)
    bench.goto("/bench")
    stop = bench.locator(f"[data-role=now] #batch-{number}-1")
    expect(stop).to_have_attribute("data-state", "cancelled")
    expect(stop.locator("[data-badge]")).to_be_visible()
    expect(stop.locator("form")).to_have_count(0)


def _cancel(served, number):
    with served.database.writing() as session:
        version = load_order(session, number).version
        cancel_order(ctx(session, who="Noor"), number, version, Cancellation(CancelReason.MISTAKE))


def test_no_sign_of_a_busy_board_sticks_out(page, served):
    for place in range(3):
        served.put_order(customer=f"The Zephyrwick Choral and Operatic Society {place}")
    started = served.put_started_order()
    page.goto("/bench")
    page.locator(f"#more-{started}-1 > summary").click()
    wait_for_answers(page)
    page.locator("#bench-lists > summary").click()
    for width in (1280, 820, 390, 320):
        page.set_viewport_size({"width": width, "height": 1180})
        beyond = page.evaluate(
            """[...document.querySelectorAll("#board *, #device *")]
               .filter(one => one.checkVisibility() && one.getBoundingClientRect().right > innerWidth)
               .map(one => one.outerHTML)"""
        )
        assert beyond == [], width
