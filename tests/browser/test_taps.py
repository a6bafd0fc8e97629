"""Taps at the bench by somebody in a hurry and Wi-Fi that drops: each counts once, and none is lost unseen."""

import pytest
from playwright.sync_api import expect

from tests.browser.gestures import SAME_PRESS_MS, burst, count_field, open_ticket, progress, tap

pytestmark = pytest.mark.browser

OFFLINE = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED", "Failed to fetch", "NetworkError")


@pytest.fixture
def ticket(page, served):
    """The ticket of a batch of 3 red and 2 white that was started."""
    open_ticket(page, served.put_started_order())
    return page


def _slow_down(page, milliseconds):
    network = page.context.new_cdp_session(page)
    throughput = {"downloadThroughput": -1, "uploadThroughput": -1}
    network.send("Network.emulateNetworkConditions", {"offline": False, "latency": milliseconds, **throughput})


def _counts(page, words):
    """It says so now, and still does when the server is asked again."""
    expect(progress(page)).to_contain_text(words)
    page.reload()
    expect(progress(page)).to_contain_text(words)


def test_a_tap_counts(ticket):
    tap(burst(ticket, "red"))
    _counts(ticket, "1 burst")


def test_a_double_click_counts_once(ticket):
    burst(ticket, "red").dblclick()
    _counts(ticket, "1 burst")


def test_a_second_press_before_a_slow_answer_counts_once(tablet, served):
    ticket = tablet(alone=True)
    open_ticket(ticket, served.put_started_order())
    _slow_down(ticket, 2 * SAME_PRESS_MS + 300)
    burst(ticket, "red").click()
    ticket.wait_for_timeout(SAME_PRESS_MS + 50)
    burst(ticket, "red").click()
    ticket.wait_for_load_state("networkidle")
    _counts(ticket, "1 burst")


def test_a_double_click_without_javascript_counts_once(tablet, served):
    page = tablet(java_script_enabled=False)
    open_ticket(page, served.put_started_order())
    burst(page, "red").dblclick()
    page.wait_for_load_state("networkidle")
    _counts(page, "1 burst")


def test_the_same_tap_after_its_answer_counts_again(ticket):
    tap(burst(ticket, "red"))
    expect(progress(ticket)).to_contain_text("1 burst")
    tap(burst(ticket, "red"))
    _counts(ticket, "2 burst")


def test_two_different_taps_in_quick_succession_both_count(ticket):
    burst(ticket, "red").click()
    burst(ticket, "white").click()
    _counts(ticket, "2 burst")


def test_a_lost_network_is_told_and_the_tap_counts_once_after_it_is_back(ticket, watch):
    watch.expected = OFFLINE
    ticket.context.set_offline(True)
    tap(burst(ticket, "red"))
    expect(ticket.locator("#connection")).to_have_attribute("data-connection", "lost")
    expect(progress(ticket)).not_to_contain_text("burst")
    ticket.context.set_offline(False)
    tap(burst(ticket, "red"))
    expect(ticket.locator("#connection")).to_have_attribute("data-connection", "ok")
    _counts(ticket, "1 burst")


def test_a_tap_whose_answer_was_lost_counts_once_when_it_is_pressed_again(ticket, watch):
    watch.expected = OFFLINE

    def lose_the_answer(route):
        route.fetch()
        route.abort()

    ticket.route("**/taps", lose_the_answer, times=1)
    tap(burst(ticket, "red"))
    expect(ticket.locator("#connection")).to_have_attribute("data-connection", "lost")
    tap(burst(ticket, "red"))
    _counts(ticket, "1 burst")


def test_an_undone_tap_no_longer_counts(ticket):
    tap(burst(ticket, "red"))
    tap(ticket.get_by_role("listitem").filter(has_text="red").get_by_role("button", name="Undo"))
    expect(progress(ticket)).not_to_contain_text("burst")
    ticket.reload()
    expect(progress(ticket)).not_to_contain_text("burst")


def test_a_count_that_is_too_high_gets_a_sentence_and_stays_typed(ticket, watch):
    watch.expected = ("422",)
    count_field(ticket).fill("6")
    tap(ticket.locator("#tap-fill"))
    expect(ticket.get_by_role("alert")).to_contain_text("1 to 5")
    expect(count_field(ticket)).to_have_value("6")


def test_a_count_that_was_filled_leaves_the_field_empty(ticket):
    count_field(ticket).fill("2")
    tap(ticket.locator("#tap-fill"))
    expect(progress(ticket)).to_contain_text("2 of 5 filled")
    expect(count_field(ticket)).to_have_value("")
