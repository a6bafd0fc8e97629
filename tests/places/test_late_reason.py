"""Why an order was late or not made is asked when it happens, with one press, and never again."""

from datetime import timedelta

import pytest
from sqlalchemy import select

from app.actions.errors import NotFound
from app.actions.orders.late_reason import save_late_reason
from app.quoting.errors import Refused
from app.quoting.states import LateReason
from app.store.models import HistoryEntry, Order
from tests.actions.builders import ctx
from tests.places.payloads import Page
from tests.places.test_office_review import _hand_over


def _asked(client, address):
    tags = Page(client.get(address).text).tags
    return [tag["data-late-reason"] for _, tag in tags if "data-late-reason" in tag]


def _press(client, number, reason, place="pickups"):
    address = (
        f"/pickups/orders/{number}/late-reason" if place == "pickups" else f"/bench/orders/{number}/late-reason"
    )
    return client.post(address, data={"reason": reason} if reason else {})


def _saved(database):
    with database.reading() as session:
        return session.scalar(select(Order.late_reason))


@pytest.mark.parametrize("reason", LateReason)
def test_a_late_order_is_asked_about_once_it_is_handed_over(client, database, now, number, reason):
    now.tick(timedelta(hours=8))
    assert _asked(client, "/pickups/") == []
    _hand_over(client, number)
    assert _asked(client, "/pickups/") == ["unsaid"]
    assert _press(client, number, reason).status_code == 303
    assert _saved(database) is reason
    assert _asked(client, "/pickups/") == [reason]


def test_an_order_in_time_is_not_asked_about_and_has_no_reason(client, database, now, number):
    now.tick(timedelta(hours=3))
    _hand_over(client, number)
    assert _asked(client, "/pickups/") == []
    assert _press(client, number, "staff").status_code == 422
    assert _saved(database) is None


def test_an_order_that_is_not_made_is_asked_about_at_the_bench(client, database, now, number):
    now.tick(timedelta(days=1))
    assert _asked(client, "/bench") == []
    client.post(f"/bench/orders/{number}/leftover", data={"outcome": "not-made", "client_key": "k"})
    assert _asked(client, "/bench") == ["unsaid"]
    assert _press(client, number, "stock", "bench").status_code == 303
    assert (_asked(client, "/bench"), _saved(database)) == (["stock"], LateReason.STOCK)


def test_a_reason_stays_until_it_is_undone_and_each_press_is_in_the_history(client, database, now, number):
    now.tick(timedelta(hours=8))
    _hand_over(client, number)
    for reason in ("staff", "stock", "", "", "stock"):
        _press(client, number, reason)
    assert _saved(database) is LateReason.STOCK
    with database.reading() as session:
        acts = [*session.scalars(select(HistoryEntry.act).order_by(HistoryEntry.id))]
    assert acts[-3:] == ["late: staff", "reason for being late undone", "late: stock"]


def test_what_is_undone_takes_its_reason_with_it(client, database, now, number):
    now.tick(timedelta(hours=8))
    _hand_over(client, number)
    _press(client, number, "staff")
    taps = [tag["value"] for _, tag in Page(client.get("/pickups/").text).tags if tag.get("name") == "tap"]
    client.post(f"/pickups/orders/{number}/undo", data={"tap": taps[-1]})
    with database.reading() as session:
        assert session.scalar(select(Order.handed_over_at)) is None
    assert _saved(database) is None


def test_an_unknown_reason_and_an_unknown_order_are_refused(client, database, session, now, number):
    now.tick(timedelta(hours=8))
    _hand_over(client, number)
    assert _press(client, number, "moon").status_code == 422
    assert _saved(database) is None
    with pytest.raises(NotFound):
        save_late_reason(ctx(session), 999, LateReason.STAFF)


def test_an_open_order_has_no_reason(session, number):
    with pytest.raises(Refused):
        save_late_reason(ctx(session), number, LateReason.STAFF)
