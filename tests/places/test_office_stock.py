"""The pages of the stock: what is on hand, promised, coming and free; lots and what is done with them."""

from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy import select

from app.actions.stock.lots import COLOUR_TOO_LONG, DAY_OUT_OF_RANGE, ENTER_REASON, PUT_AWAY_FIRST, up_to
from app.places.office.stock_forms import LOT_PAGE_OUT_OF_DATE, PIECES_OR_PACKS, describe_amounts
from app.places.office.stock_lots import NOTHING_DONE
from app.store.models import BalloonTypeRow, Lot, StockMove, SupplyRow
from app.web.locales import typed_date
from app.web.wording.forms import PAGE_OUT_OF_DATE, enter_date, enter_whole
from tests.actions.supply_helpers import stand
from tests.places.page_states import flashes, is_refused, states, values, wrong_fields
from tests.places.payloads import Page, take, words

TYPE = "/office/stock/balloon-type/4"
RIBBON = "/office/stock/supply/{}"


def receive(client, address=TYPE, **changes):
    sent = {"client_key": "lot-1", "colour": "Red", "count": "100", "packs": "", "day": "2026-11-20"}
    return client.post(address, data=sent | changes)


def stock_row(client, colour):
    """The figures of a colour on the stock's page: on hand, promised, on its way, free."""
    for line in client.get("/office/stock.csv").text.splitlines()[1:]:
        cells = line.split(",")
        if cells[0] == "11 in latex" and cells[1] == colour:
            return [float(cell) for cell in cells[3:7]]
    return None


def lots(database):
    with database.reading() as session:
        return [(lot.id, lot.colour, lot.on_hand) for lot in session.scalars(select(Lot).order_by(Lot.id))]


def act(client, lot_id, what, **sent):
    fields = {f"{name}-{lot_id}": value for name, value in sent.items()}
    return client.post(f"/office/stock/lots/{lot_id}/{what}", data=fields)


def test_it_works(client, database):
    before = Page(client.get("/office/stock").text)
    assert "open" in before.by_id["uncounted"]
    assert not any(tag == "table" for tag, _ in before.tags)
    answer = receive(client)
    assert (answer.status_code, answer.location) == (303, TYPE)
    assert flashes(client.get(TYPE).text) == 1
    assert stock_row(client, "Red") == [100, 0, 0, 100]
    assert Page(client.get("/office/stock").text).by_id["of-4-0"]["text"].split() == [
        *("11", "in", "latex", "Red", "100", "0", "–", "100", "–", "–")
    ]
    assert lots(database) == [(1, "Red", 100)]


def test_what_an_order_needs_is_promised_until_it_is_filled(client):
    receive(client)
    number = take(client, lines__0__colours="red")
    assert stock_row(client, "Red") == [100, 24, 0, 76]
    (needed,) = states(client.get(TYPE).text, "order")
    assert [needed[f"data-{key}"] for key in ("order", "colour", "count", "spares")] == [
        *(str(number), "Red", "24", "0")
    ]
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "burst", "client_key": "b", "colour": "red"})
    assert stock_row(client, "Red") == [99, 24, 0, 75]
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "f", "sure": "yes"})
    assert stock_row(client, "Red") == [75, 0, 0, 75]
    page = client.get(f"/bench/batches/{number}-1").text
    last = max(int(value) for name, value in _hidden(page) if name == "tap")
    client.post(f"/bench/batches/{number}-1/undo", data={"tap": last})
    assert stock_row(client, "Red") == [99, 24, 0, 75]
    undone = [(move["data-sort"], move["data-change"]) for move in states(client.get(TYPE).text, "undone")]
    assert undone == [("filled", "24.0")]


def _hidden(page):
    return [(a.get("name"), a.get("value")) for tag, a in Page(page).tags if tag == "input"]


def test_packs_are_counted_as_the_type_is_bought_now(client, database):
    texts = Page(client.get("/office/balloon-types/4").text).values
    client.post("/office/balloon-types/4", data=texts | {"pack_size": "50"})
    receive(client, count="", packs="3")
    assert lots(database) == [(1, "Red", 150)]


def test_a_second_press_receives_nothing_more(client, database):
    receive(client)
    receive(client)
    assert lots(database) == [(1, "Red", 100)]


@pytest.mark.parametrize(
    ("changes", "wrong", "sentence"),
    [
        ({"count": "many"}, ["count"], describe_amounts(1, whole=True)),
        ({"count": "0"}, ["count"], describe_amounts(1, whole=True)),
        ({"count": "99999999999"}, ["count"], describe_amounts(1, whole=True)),
        ({"day": "1900-01-01"}, ["day"], DAY_OUT_OF_RANGE),
        ({"count": "2.5"}, ["count"], describe_amounts(1, whole=True)),
        ({"packs": "2"}, ["packs"], PIECES_OR_PACKS),
        ({"count": "", "packs": "no"}, ["packs"], enter_whole(1, 10_000).replace("10000", "10,000")),
        ({"day": "soon"}, ["day"], enter_date("28/11")),
        ({"day": "2026-12-24"}, ["day"], DAY_OUT_OF_RANGE),
        ({"colour": "x" * 41}, ["colour"], COLOUR_TOO_LONG),
        ({"client_key": ""}, [], PAGE_OUT_OF_DATE),
    ],
)
def test_what_cannot_be_added_is_refused_and_stays_typed(client, database, changes, wrong, sentence):
    answer = receive(client, **changes)
    page = Page(answer.text)
    assert answer.status_code == 422
    assert sentence in page.summary
    assert [page.problem(field) for field in wrong_fields(answer.text)] == [sentence] * len(wrong)
    assert wrong_fields(answer.text) == wrong
    saved = {"colour": "Red", "count": "100", "packs": "", "day": "2026-11-20"} | changes
    assert all(page.values[name] == value for name, value in saved.items() if name != "client_key")
    assert lots(database) == []


def test_counting_again_saves_the_reason_and_counts_once(client, database):
    receive(client)
    sent = {"count": "88", "why": "counted on Saturday", "seen": "100.0", "counts": "0"}
    assert act(client, 1, "count", **sent).location == f"{TYPE}#lot-1"
    assert not is_refused(client.get(TYPE).text)
    again = act(client, 1, "count", **sent)
    assert again.status_code == 422
    assert NOTHING_DONE in Page(again.text).summary
    assert wrong_fields(again.text) == []
    assert lots(database) == [(1, "Red", 88)]
    changes = [(move["data-sort"], move["data-change"]) for move in states(client.get(TYPE).text, "change")]
    assert changes == [("counted", "-12.0"), ("received", "100.0")]
    with database.reading() as session:
        assert [move.why for move in session.scalars(select(StockMove).order_by(StockMove.id))] == [
            *("", "counted on Saturday")
        ]


def test_what_is_filled_while_somebody_counts_is_not_put_back(client, database):
    receive(client)
    number = take(client, lines__0__colours="red")
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "f", "sure": "yes"})
    act(client, 1, "count", count="98", why="two torn", seen="100.0", counts="0")
    assert lots(database) == [(1, "Red", 74)]


@pytest.mark.parametrize(
    ("what", "sent", "wrong", "sentence"),
    [
        ("count", {"count": "88", "why": "", "seen": "100.0"}, ["why-1"], ENTER_REASON),
        ("count", {"count": "x", "why": "so", "seen": "100.0"}, ["count-1"], describe_amounts(0, whole=True)),
        ("count", {"count": "88", "why": "so", "seen": "nan"}, ["count-1"], LOT_PAGE_OUT_OF_DATE),
        ("aside", {"why-aside": " "}, ["why-aside-1"], ENTER_REASON),
        ("use", {"used": "5", "why-used": "weights", "seen": "100.0"}, [], PUT_AWAY_FIRST),
    ],
)
def test_what_cannot_be_done_with_a_lot_is_refused_at_its_field(client, database, what, sent, wrong, sentence):
    receive(client)
    answer = act(client, 1, what, **sent)
    assert answer.status_code == 422
    assert sentence in Page(answer.text).summary
    assert wrong_fields(answer.text) == wrong
    assert lots(database) == [(1, "Red", 100)]


def test_an_old_lot_is_marked_and_put_away_and_used_up_once(client, database):
    receive(client, day="2025-09-01")
    receive(client, client_key="lot-2", count="30")
    page = client.get(TYPE).text
    assert values(page, "state") == ["old", ""]
    hidden = dict(_hidden(page))
    act(client, 1, "aside", **{"why-aside": hidden["why-aside-1"]})
    assert stock_row(client, "Red") == [30, 0, 0, 30]
    assert values(client.get(TYPE).text, "state") == ["away", ""]
    assert hidden["why-aside-1"] in words(client.get(TYPE).text)
    sent = {"used": "10", "why-used": "water weights", "seen": "100.0"}
    act(client, 1, "use", **sent)
    act(client, 1, "use", **sent)
    assert lots(database) == [(1, "Red", 90), (2, "Red", 30)]
    act(client, 1, "back")
    assert stock_row(client, "Red") == [30, 0, 0, 30]
    assert values(client.get("/office/stock").text, "old") == ["90.0"]
    assert values(client.get(TYPE).text, "old") == ["90.0"]
    assert client.get("/office/stock.csv").text.splitlines()[1].split(",")[-1] == "90"


def test_foil_grows_not_old(client, database):
    with database.reading() as session:
        foil = session.scalars(select(BalloonTypeRow).where(BalloonTypeRow.material == "foil")).first().id
    address = f"/office/stock/balloon-type/{foil}"
    assert receive(client, address, day="2024-09-01").status_code == 303
    assert values(client.get(address).text, "state") == [""]
    assert values(client.get(address).text, "old") == ["0.0"]


@pytest.mark.parametrize(
    ("zone", "clock", "today"),
    [
        ("America/Los_Angeles", datetime(2026, 11, 22, 2, tzinfo=UTC), date(2026, 11, 21)),  # 18:00 there
        ("Pacific/Auckland", datetime(2026, 11, 21, 20, tzinfo=UTC), date(2026, 11, 22)),  # 9:00 there
    ],
)
def test_today_is_the_shops_day_wherever_it_stands(client, database, now, zone, clock, today):
    """The offsets of both zones in November, UTC−8 and UTC+13, are those of the IANA time zone database."""
    assert client.post("/office/settings", data={"zone": zone}).status_code == 303
    now.move_to(clock)
    yesterday, tomorrow = (today + timedelta(days=days) for days in (-1, 1))
    assert Page(client.get(TYPE).text).values["day"] == typed_date("en_GB", today)
    assert receive(client, day=today.isoformat()).status_code == 303
    refused = receive(client, client_key="lot-2", day=tomorrow.isoformat())
    assert (refused.status_code, wrong_fields(refused.text)) == (422, ["day"])
    assert Page(refused.text).problem("day") == DAY_OUT_OF_RANGE
    sent = {"rows": "1", "what-0": "balloon_type-4", "colour-0": "red", "packs-0": "1", "press": "0"}
    statuses = [
        client.post(
            "/office/stock/buying", data=sent | {"client_key": f"d {due}", "due-0": due.isoformat()}
        ).status_code
        for due in (yesterday, today, today + timedelta(days=366), today + timedelta(days=367))
    ]
    assert statuses == [422, 303, 303, 422]


@pytest.mark.parametrize("used", ["0", "101", "-1", ""])
def test_no_more_is_used_up_than_there_is(client, database, used):
    receive(client)
    act(client, 1, "aside", **{"why-aside": "light-worn"})
    answer = act(client, 1, "use", used=used, **{"why-used": "practice", "seen": "100.0"})
    assert answer.status_code == 422
    assert Page(answer.text).problem("used-1") == up_to(100)
    assert lots(database) == [(1, "Red", 100)]


@pytest.mark.parametrize(
    "address", ["/office/stock/balloon-type/999", "/office/stock/supply/999", "/office/stock/lots/9/count"]
)
def test_what_is_not_there_is_404(client, address):
    sent = client.get(address) if "lots" not in address else client.post(address)
    assert sent.status_code == 404


def test_rentals_have_no_page(client, database):
    with database.writing() as session:
        pole = stand(session).id
    assert client.get(RIBBON.format(pole)).status_code == 404
    assert receive(client, RIBBON.format(pole)).status_code == 404


def test_nobody_knows_such_an_act(client):
    receive(client)
    assert act(client, 1, "burn").status_code == 404


def test_a_supply_is_received_in_its_unit(client, database):
    with database.reading() as session:
        ribbon = session.scalars(select(SupplyRow).where(SupplyRow.sort == "ribbon")).first().id
    assert receive(client, RIBBON.format(ribbon), count="12.5").status_code == 303
    assert values(client.get(RIBBON.format(ribbon)).text, "on-hand") == ["12.5", "12.5"]
    assert "12.5 m" in Page(client.get("/office/stock").text).by_id[f"of-0-{ribbon}"]["text"]


def test_the_list_is_narrowed_by_words(client):
    receive(client)
    receive(client, client_key="lot-2", colour="White")
    assert values(client.get("/office/stock").text, "colour") == ["Red", "White"]
    assert values(client.get("/office/stock?q=white+11").text, "colour") == ["White"]
    nothing = Page(client.get("/office/stock?q=<gold>").text)
    assert "<gold>" in nothing.by_id["nothing-found"]["text"]


def test_a_formula_in_a_colour_is_text_in_the_table(client):
    receive(client, colour="=1+1")
    assert "'=1+1" in client.get("/office/stock.csv").text


def test_the_moves_say_who_when_and_for_which_order(client, database):
    client.post("/staff/new", data={"name": "Isolde"})
    client.post("/staff/", data={"name": "Isolde"})
    receive(client)
    number = take(client, lines__0__colours="red")
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "f", "sure": "yes"})
    text = client.get(TYPE).text
    changes = [(move["data-sort"], move["data-change"]) for move in states(text, "change")]
    assert changes == [("filled", "-24.0"), ("received", "100.0")]
    first = words(text[text.index('data-sort="filled"') : text.index('data-sort="received"')])
    assert all(part in first for part in ("−24 Red", str(number), "Isolde"))
    with database.reading() as session:
        assert [move.sort for move in session.scalars(select(StockMove))] == ["received", "filled"]


def test_orders_that_should_have_left_long_ago_are_named(client, now):
    """Collected at 14:00, and forgotten twelve hours later, as at the bench."""
    receive(client)
    number = take(client, lines__0__colours="red")
    now.move_to(datetime(2026, 11, 22, 1, 59, tzinfo=UTC))
    assert values(client.get("/office/stock").text, "forgotten") == []
    assert stock_row(client, "Red") == [100, 24, 0, 76]
    now.move_to(datetime(2026, 11, 22, 2, tzinfo=UTC))
    assert values(client.get("/office/stock").text, "forgotten") == [str(number)]
    assert stock_row(client, "Red") == [100, 0, 0, 100]
    assert f'href="/counter/orders/{number}"' in client.get("/office/stock").text


def test_a_shop_that_counts_nothing_is_shown_no_such_orders(client, now):
    take(client)
    now.move_to(datetime(2026, 11, 25, tzinfo=UTC))
    assert values(client.get("/office/stock").text, "forgotten") == []
