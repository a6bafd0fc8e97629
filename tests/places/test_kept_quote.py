"""The quote of a new order is kept while nothing that it says can have changed, and else calculated again."""

from datetime import timedelta

import pytest

from app.actions.orders import answer
from app.quoting.request import NOT_QUOTED
from tests.actions.stock_helpers import lot
from tests.places.payloads import payload, take

SPOKEN = {
    "customer": "Odile Marchbanks",
    "phone": "01632 960440",
    "address": "7 Quay Street",
    "notes": "Rings twice.",
    "accepted_risk": "They know.",
    "bench_override": "They come by turns.",
    "stock_override": "More is on its way.",
}
WRITES = {
    "an order": lambda client, database: take(client, customer="Ben Cole", client_key="other-order"),
    "a price": lambda client, database: client.post("/office/settings", data={"deposit_percent": "35"}),
    "a lot": lambda client, database: _count(database),
}


def _count(database):
    with database.writing() as session:
        lot(session, 3)


@pytest.fixture
def made(monkeypatch):
    """The requests that were quoted."""
    requests = []

    def counted(request, *more, make=answer.make_quote):
        requests.append(request)
        return make(request, *more)

    monkeypatch.setattr(answer, "make_quote", counted)
    return requests


def _answer(client, **changes):
    return client.post(
        "/counter/draft", data=payload(fix="live", **changes), headers={"HX-Request-Type": "partial"}
    )


def test_who_types_what_the_quote_does_not_depend_on_has_nothing_calculated_again(client, made):
    assert {*SPOKEN} | {"customer_id"} == {*NOT_QUOTED}
    before = _answer(client)
    assert made
    made.clear()
    for name, words in SPOKEN.items():
        assert 'data-role="verdict"' in _answer(client, **{name: words}).text
        assert made == [], name
    assert _answer(client, lines__0__quantity="25").text != before.text
    assert made


def test_what_is_kept_says_the_same_as_what_is_calculated_with_all_that_is_known(client, app):
    kept = [_answer(client, **SPOKEN).text for _ in range(2)]
    app.forget()
    assert kept == [_answer(client, **SPOKEN).text] * 2


@pytest.mark.parametrize("what", WRITES)
def test_after_a_write_it_is_calculated_again(what, client, database, made):
    _answer(client)
    WRITES[what](client, database)
    made.clear()
    _answer(client)
    assert made


def test_the_next_minute_has_a_quote_of_its_own(client, made, now):
    _answer(client)
    made.clear()
    now.tick(timedelta(seconds=61))
    _answer(client)
    assert made
