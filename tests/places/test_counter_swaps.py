"""A design with other balloons than its own at the counter: pressed, undone, saved, opened, repeated, filled."""

import pytest
from sqlalchemy import select

from app.actions.records.catalogue import load_catalogue
from app.actions.records.rebuild_request import rebuild_request
from app.physics.balloon import Gas
from app.quoting.request import PartSwap
from app.store.models import HistoryEntry, Order
from tests.actions.builders import balloon_type_id, bouquet
from tests.places.payloads import Page, payload

PARTY = {
    "event_start__hour": "18:00",
    "lasts_until__day": "2026-11-22",
    "lasts_until__hour": "00:00",
    "hand_over_time__hour": "09:00",
    "lines__0__quantity": "2",
    "lines__0__colours": "blue",
}
LARGER = "alternative-0-larger"


@pytest.fixture
def sea(database):
    """A bouquet that sinks before the party ends, and the swap that is offered: 16 in for 11 in."""
    with database.writing() as session:
        catalogue = load_catalogue(session)
        design = bouquet(session, catalogue).id
    eleven, sixteen = (balloon_type_id(catalogue, f"{size} in latex") for size in (11, 16))
    return PARTY | {"lines__0__what": f"design:{design}"}, PartSwap(eleven, sixteen, Gas.HELIUM)


def _draft(client, fix="work", **changes):
    return Page(client.post("/counter/draft", data=payload(fix=fix, **changes)).text)


def _press(client, values, fix):
    return Page(client.post("/counter/draft", data=values | {"fix": fix}).text)


def _price(page):
    return next(int(attrs["data-price"]) for _, attrs in page.tags if attrs.get("data-price", "").isdigit())


def _saved(client, values):
    answer = client.post("/counter/orders", data=values)
    assert answer.status_code == 303, answer.text
    return int(answer.location.rpartition("/")[2])


def test_pressed_it_is_said_at_the_line_and_undone_it_leaves_no_trace(client, sea):
    sent, swap = sea
    before = _draft(client, **sent)
    after = _press(client, before.values, LARGER)
    assert "swapped-0" in after.by_id
    assert "swapped-0" not in before.by_id
    assert f"{swap.was}>{swap.now}:helium" in after.by_id["swapped-0"]["data-swaps"]
    assert _price(after) - _price(before) == 2 * 9 * 50
    assert _press(client, after.values, "undo").values == before.values


def test_its_own_balloons_come_back_with_one_press(client, sea):
    sent, _ = sea
    after = _press(client, _draft(client, **sent).values, LARGER)
    own = _press(client, after.values, "drop-swaps-0")
    assert own.values["lines-0-swaps"] == ""
    assert "swapped-0" not in own.by_id


def test_another_design_chosen_does_not_take_it_along(client, sea, database):
    sent, _ = sea
    with database.writing() as session:
        other = bouquet(session, load_catalogue(session), name="Moor bouquet").id
    after = _press(client, _draft(client, **sent).values, LARGER).values
    page = _press(client, after | {"lines-0-what": f"design:{other}"}, "work")
    assert "swapped-0" not in page.by_id
    assert _price(page) == 2 * 2600


@pytest.mark.parametrize("text", ["4>6:helium;", "x", "4>99999:helium", "3>6:helium", "4>6:neon"])
def test_what_cannot_be_a_swap_is_never_ignored(client, sea, text):
    sent, _ = sea
    answer = client.post(
        "/counter/orders", data=payload(**sent, lines__0__swaps=f"{sent['lines__0__what']} {text}")
    )
    assert answer.status_code == 422
    assert "lines-0-what" in "".join(Page(answer.text).links)


def test_it_is_saved_opened_and_repeated(client, sea, database):
    sent, swap = sea
    number = _saved(client, _press(client, _draft(client, **sent).values, LARGER).values)
    with database.reading() as session:
        order = session.scalars(select(Order)).one()
        assert rebuild_request(order).lines[0].swaps == (swap,)
        assert [batch.balloon_type_name for batch in order.batches] == ["18 in foil", "16 in latex"]
        assert "16 in latex" in order.lines[0].title
    opened = Page(client.get(f"/counter/orders/{number}/change").text)
    assert "swapped-0" in opened.by_id
    assert client.post(f"/counter/orders/{number}/change", data=opened.values).status_code == 303
    with database.reading() as session:
        assert session.scalars(select(HistoryEntry)).all()[-1].act == "saved"
    repeated = _draft(client, f"repeat-{number}")
    assert repeated.values["lines-0-swaps"] == opened.values["lines-0-swaps"]


def test_its_own_balloons_again_are_in_the_history(client, sea, database):
    sent, _ = sea
    number = _saved(client, _press(client, _draft(client, **sent).values, LARGER).values)
    opened = Page(client.get(f"/counter/orders/{number}/change").text).values
    changed = opened | {"lines-0-swaps": "", "accepted_risk": "Until the cake."}
    assert client.post(f"/counter/orders/{number}/change", data=changed).status_code == 303
    with database.reading() as session:
        last = session.scalars(select(HistoryEntry)).all()[-1]
        assert "line 1" in {what for what, _, _ in last.changes}


def test_the_bench_has_a_build_sheet_of_what_is_filled(client, sea):
    sent, _ = sea
    for fix in (LARGER, "alternative-0-air"):
        page = _press(client, _draft(client, **sent, client_key=fix).values, fix)
        number = _saved(client, page.values | {"bench_override": "They come by turns."})
        assert client.get(f"/bench/batches/{number}-1").status_code == 200
        assert client.get(f"/counter/orders/{number}/confirmation").status_code == 200
