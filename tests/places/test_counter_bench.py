"""The counter's answer says whether the bench can make the order beside all the others."""

from tests.places.payloads import payload, take, words

NOON = {"handed__hour": "12:00", "lines__0__quantity": "36", "lines__0__colours": "red"}


def _said(client, **changes):
    return words(client.post("/counter/draft", data=payload(**(NOON | changes))).text)


def _others(client, count):
    """More than four clash."""
    said = {"bench_reason": "They come by turns."}
    return [take(client, **NOON, **said, client_key=f"other-{place}") for place in range(count)]


def test_it_says_that_the_bench_can(client):
    assert "The bench can make it beside all other orders." in _said(client)


def test_it_says_how_much_is_too_much_with_whom_and_when_it_would_fit(client):
    first, *_ = _others(client, 4)
    said = _said(client)
    assert "The bench cannot make it beside the other orders:" in said
    assert "of work too many between Sat 21 Nov" in said
    assert "for want of hands" in said
    assert f"It competes with orders {first}, " in said
    assert "The first hour that fits: Sat 21 Nov, 1" in said


def test_the_hour_it_names_fits(client):
    _others(client, 4)
    hour = _said(client).partition("The first hour that fits: Sat 21 Nov, ")[2][:5]
    assert "The bench can make it" in _said(client, handed__hour=hour)


def test_changing_an_order_does_not_compete_with_itself(client):
    *_, last = _others(client, 4)
    page = words(client.get(f"/counter/orders/{last}/change").text)
    assert "The bench can make it beside all other orders." in page


def test_where_no_later_hour_would_do_it_says_so(client):
    _others(client, 4)
    assert "No later hour before the event would do." in _said(client, event_start__hour="12:00")


def test_a_bench_that_does_not_fit_as_it_is_is_told_but_not_held_against_another_day(client):
    _others(client, 6)
    later = {"event_start__day": "2026-11-24", "lasts_until__day": "2026-11-24", "handed__day": "2026-11-24"}
    said = _said(client, **later)
    assert "The bench does not fit as it is (orders " in said
    assert "this order makes it no worse." in said
