"""The answer of the order form is short enough to read while the caller waits: at most 90 words when all is safe,
200 when not."""

import pytest

from app.actions.records.catalogue import load_catalogue
from tests.actions.builders import bouquet
from tests.actions.cylinder_helpers import in_use
from tests.actions.stock_helpers import lot
from tests.places.payloads import Page, payload, take
from tests.places.visible_words import visible_words

FEW, MANY = 90, 200
FRIDAY = "2026-11-27"
DANCE = {
    "event_start__day": FRIDAY,
    "event_start__hour": "17:30",
    "lasts_until__day": FRIDAY,
    "lasts_until__hour": "23:30",
    "hand_over_time__day": FRIDAY,
    "hand_over_time__hour": "08:45",
}
TWO_LINES = {"lines__1__what": "balloon_type:5", "lines__1__quantity": "12", "lines__1__gas": "helium"}
NOON = {"hand_over_time__hour": "12:00", "lines__0__quantity": "36", "lines__0__colours": "red"}


def _answer(client, fix="live", **changes):
    return client.post("/counter/draft", data=payload(fix=fix, **changes)).text


def _state(text):
    """The states that the answer names, and how many words somebody sees of it."""
    page = Page(text)
    (shown,) = [attrs for _, attrs in page.tags if "data-can-make" in attrs]
    save = page.by_id["take"]
    assert int(shown["data-price"]) > 0
    return {
        "verdict": shown["data-verdict"],
        "can_make": shown["data-can-make"],
        "short": shown["data-short"],
        "save": save["data-save"],
        "missing": save["data-missing"],
    }, len(visible_words(text, "answer"))


SAFE = {"verdict": "safe", "can_make": "fits", "short": "", "save": "ready", "missing": ""}


def test_thirty_in_untreated_latex_that_are_safe(client):
    state, count = _state(_answer(client, lines__0__quantity="30", lines__0__colours="30 red"))
    assert state == SAFE
    assert count <= FEW


def test_two_lines_with_a_design_where_stock_and_gas_are_counted(client, database):
    with database.writing() as session:
        design = bouquet(session, load_catalogue(session)).id
        for colour in ("red", "blue"):
            lot(session, 90, colour)
        in_use(session)
    lines = TWO_LINES | {
        "lines__1__what": f"design:{design}",
        "lines__1__quantity": "2",
        "lines__1__colours": "blue",
    }
    text = _answer(client, **lines | {"lines__0__colours": "red"})
    state, count = _state(text)
    assert state == SAFE
    assert visible_words(text, "fine")[:4] == ["Bench,", "stock", "and", "gas:"]
    assert count <= FEW


def test_two_lines_that_sink_before_the_dance_ends(client):
    state, count = _state(_answer(client, **DANCE, **TWO_LINES))
    assert state == SAFE | {"verdict": "wont-last", "save": "needs-reason", "missing": "accepted_risk"}
    assert count <= MANY


def test_a_risky_order(client):
    """Collected just before the window would open."""
    state, count = _state(_answer(client, **DANCE | {"hand_over_time__hour": "14:00"}))
    assert state == SAFE | {"verdict": "risky", "save": "needs-reason", "missing": "accepted_risk"}
    assert count <= MANY


def test_an_order_for_a_full_bench_and_an_empty_shelf(client, database):
    for place in range(4):
        take(client, **NOON, bench_override="They come by turns.", client_key=f"other-{place}")
    with database.writing() as session:
        lot(session, 20, "teal")
        lot(session, 90, "navy")
    teal = NOON | {"lines__0__colours": "teal", "lines__0__quantity": "30"}
    state, count = _state(_answer(client, **teal))
    assert state == SAFE | {
        "can_make": "cannot",
        "short": "stock",
        "save": "needs-reason",
        "missing": "bench_override stock_override",
    }
    assert count <= MANY
    answered = _state(_answer(client, **teal, bench_override="By turns.", stock_override="More come."))[0]
    assert (answered["save"], answered["missing"]) == ("ready", "")


def test_outdoors_in_wind_and_sun_filled_at_the_venue(client):
    at_venue = {"hand_over": "venue", "address": "The Corn Hall", "travel_minutes": "30"}
    out = {"surroundings": "sun", "venue_wind": "8", "venue_warmth": "28"}
    text = _answer(client, **at_venue, **out, hand_over_time__hour="12:00")
    state, count = _state(text)
    assert state == SAFE | {"verdict": "risky", "save": "needs-reason", "missing": "accepted_risk"}
    assert "data-advice" in text
    assert count <= MANY


def test_treated_outdoors_where_the_answer_says_what_it_leaves_out(client):
    out = {"surroundings": "sun", "venue_wind": "8", "venue_warmth": "33", "lines__0__treated": "y"}
    text = _answer(client, **out)
    state, count = _state(text)
    assert (state["verdict"], state["save"]) == ("risky", "needs-reason")
    assert 'data-advice="not-included"' in text
    assert count <= MANY


@pytest.mark.parametrize("changes", [{}, DANCE])
def test_the_page_without_scripts_has_the_very_answer(client, changes):
    alone = _answer(client, **changes).strip()
    page = _answer(client, "work", **changes)
    assert visible_words(page, "answer") == visible_words(alone, "answer")


def test_a_summary_counts_and_what_it_opens_does_not():
    page = (
        "<p>Two words</p><details><summary>Bill</summary><p>hidden <b>too</b></p></details><script>x</script>"
        "<details open><p>seen</p></details><svg><title>Drawn</title></svg><p class='caution'>Never eat.</p>–"
    )
    assert visible_words(page) == ["Two", "words", "Bill", "seen"]
    assert visible_words(f"<p>out</p><div id='here'>{page}</div>", "here") == ["Two", "words", "Bill", "seen"]
