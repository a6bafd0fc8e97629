"""The pages' figures agree with planning and with the rows in the store, whatever is done in between."""

import csv
from collections import Counter

import pytest
from sqlalchemy import select

from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.stock.articles import Article
from app.actions.stock.availability import load_availability
from app.planning.stock import ANY
from app.store.models import Delivery, Lot, Order, OrderBatch
from app.store.search_keys import fold_text
from tests.actions.builders import ctx
from tests.conftest import SATURDAY_MORNING
from tests.places.payloads import CALLED_OFF, Page, take

WHY = "They are bought."
LATEX = Article(balloon_type_id=4)
SUNDAY = {"event_start__day": "2026-11-22", "lasts_until__day": "2026-11-22", "hand_over_time__day": "2026-11-22"}


class Pages:
    """A shop with lots of red, white and mixed 11-inch latex, and what its pages say of them."""

    def __init__(self, client, database):
        self.client, self.database, self.keys = client, database, 0

    def key(self):
        self.keys += 1
        return f"key-{self.keys}"

    def receive(self, colour, count, day="2026-11-20"):
        lot = {"client_key": self.key(), "colour": colour, "count": str(count), "day": day}
        assert self.client.post("/office/stock/balloon-type/4", data=lot).status_code == 303

    def lot(self, lot_id, act, **sent):
        fields = {f"{name.replace('__', '-')}-{lot_id}": value for name, value in sent.items()}
        assert self.client.post(f"/office/stock/lots/{lot_id}/{act}", data=fields).status_code == 303

    def take(self, colours, quantity, **more):
        sent = {"lines__0__colours": colours, "lines__0__quantity": str(quantity), "stock_override": WHY}
        return take(self.client, client_key=self.key(), bench_override="so", **sent, **more)

    def tap(self, number, act, **sent):
        sent = {"act": act, "client_key": self.key(), "sure": "yes"} | sent
        assert self.client.post(f"/bench/batches/{number}-1/taps", data=sent).status_code == 303

    def undo(self, number):
        page = Page(self.client.get(f"/bench/batches/{number}-1").text)
        taps = [int(a["value"]) for _, a in page.tags if a.get("name") == "tap"]
        assert self.client.post(f"/bench/batches/{number}-1/undo", data={"tap": max(taps)}).status_code == 303

    def figures(self):
        """By colour: on hand, promised, on the way, free today, short; as the table has them."""
        rows = csv.DictReader(self.client.get("/office/stock.csv").data.decode("utf-8-sig").splitlines())
        names = ("on hand", "promised", "on the way", "free today", "short")
        return {
            ANY if row["colour"] == "any colour" else fold_text(row["colour"]): [
                float(row[name] or 0) for name in names
            ]
            for row in rows
            if row["item"] == "11 in latex"
        }


@pytest.fixture
def pages(client, database):
    pages = Pages(client, database)
    for colour, count in (("Red", 40), ("White", 30), ("", 20)):
        pages.receive(colour, count)
    return pages


def _of_planning(database):
    with database.reading() as session:
        availability = load_availability(
            ctx(session, shop=load_shop(session), catalogue=load_catalogue(session), now=SATURDAY_MORNING), {LATEX}
        )
    shelf = availability.by_article[LATEX]
    lacks = {lack.colour: lack.count for lack in shelf.shortages()}
    return {
        colour: [
            shelf.on_hand(colour),
            shelf.total_promised(colour),
            shelf.free(colour, shelf.today),
            lacks.get(colour, 0),
        ]
        for colour in (*shelf.colours, ANY)
    }


def _of_rows(database):
    """On hand and promised, summed from lots and batches by the test itself."""
    on_shelf, promised, coming = Counter(), Counter(), Counter()
    with database.reading() as session:
        for lot in session.scalars(select(Lot).where(Lot.balloon_type_id == 4, Lot.set_aside_at.is_(None))):
            on_shelf[fold_text(lot.colour)] += lot.on_hand
        unfilled = (
            select(OrderBatch)
            .join(Order)
            .where(Order.state == "open", OrderBatch.filled_at.is_(None), OrderBatch.balloon_type_id == 4)
        )
        for batch in session.scalars(unfilled):
            for colour, count in batch.colours:
                promised[ANY if colour == "any colour" else fold_text(colour)] += count
        for row in session.scalars(select(Delivery)):
            coming[fold_text(row.colour)] += row.pieces if row.lot_id is None and row.withdrawn_at is None else 0
    return on_shelf, promised, coming


def _refuse_other_figures(pages):
    said, planned = pages.figures(), _of_planning(pages.database)
    on_shelf, promised, coming = _of_rows(pages.database)
    assert set(said) == set(planned)
    for colour, (on_hand, taken, on_the_way, free, short) in said.items():
        assert [on_hand, taken, free, short] == planned[colour]
        assert (on_hand, taken, on_the_way) == (on_shelf[colour], promised[colour], coming[colour])
    _refuse_other_page(pages, said)


def _refuse_other_page(pages, said):
    """Compares with the page of the article: its states, and the numbers that a person reads."""
    page = Page(pages.client.get("/office/stock/balloon-type/4").text)
    shown = {
        ANY if attrs["data-colour"] == "any colour" else fold_text(attrs["data-colour"]): [
            float(attrs["data-on-hand"]),
            float(attrs["data-free"]),
        ]
        for _, attrs in page.tags
        if "data-free" in attrs
    }
    assert shown == {colour: [on_hand, free] for colour, (on_hand, _, _, free, _) in said.items()}


def _still(pages):
    """One order of each sort, and nothing else."""
    return pages.take("12 red, 12 white", 24)


STEPS = {
    "take an order": lambda pages: pages.take("red", 10),
    "take one for any colour": lambda pages: pages.take("", 30),
    "take one for later": lambda pages: pages.take("white", 60, **SUNDAY),
    "take one that is short": lambda pages: pages.take("red", 50),
    "fill": lambda pages: pages.tap(_still(pages), "finish"),
    "burst": lambda pages: pages.tap(_still(pages), "burst", colour="red"),
    "fill and undo": lambda pages: _then_undo(pages, "finish"),
    "burst and undo": lambda pages: _then_undo(pages, "burst", colour="red"),
    "receive": lambda pages: pages.receive("red", 7),
    "count": lambda pages: pages.lot(1, "count", count="31", why="counted", seen="40.0", counts="0"),
    "set aside": lambda pages: pages.lot(2, "aside", why__aside="light-worn"),
    "put back": lambda pages: (pages.lot(2, "aside", why__aside="so"), pages.lot(2, "back")),
    "cancel": lambda pages: pages.client.post(f"/counter/orders/{_still(pages)}/cancel", data=CALLED_OFF),
}


def _then_undo(pages, act, **sent):
    number = _still(pages)
    pages.tap(number, act, **sent)
    pages.undo(number)


@pytest.mark.parametrize("step", STEPS)
def test_after_each_step_all_say_the_same(pages, step):
    before = pages.figures()
    STEPS[step](pages)
    _refuse_other_figures(pages)
    if step == "put back":
        assert pages.figures() == before


def test_after_all_steps_together_all_say_the_same(pages):
    for step in STEPS.values():
        step(pages)
        _refuse_other_figures(pages)


def test_the_whole_way_of_a_red_one(pages):
    """By hand: 40 there; 24 promised; one burst; 24 filled; undone; a count of 35; of ten ordered nine come, and
    the last one will not."""
    red = lambda: pages.figures()["red"][:4]  # noqa: E731
    assert red() == [40, 0, 0, 40]
    number = pages.take("red", 24)
    assert red() == [40, 24, 0, 16]
    pages.tap(number, "burst", colour="red")
    assert red() == [39, 24, 0, 15]
    pages.tap(number, "finish")
    assert red() == [15, 0, 0, 15]
    pages.undo(number)
    assert red() == [39, 24, 0, 15]
    pages.lot(1, "count", count="35", why="counted", seen="39.0", counts="0")
    assert red() == [35, 24, 0, 11]
    sent = {"client_key": "k", "rows": "1", "what-0": "balloon_type-4", "colour-0": "Red", "packs-0": "10"}
    pages.client.post("/office/stock/buying", data=sent | {"due-0": "2026-11-23", "press": "0"})
    assert red() == [35, 24, 10, 11]
    pages.client.post("/office/stock/deliveries/1/came", data={"count-1": "9"})
    assert red() == [44, 24, 1, 20]
    _refuse_other_figures(pages)
    pages.client.post("/office/stock/deliveries/2/withdrawn")
    assert red() == [44, 24, 0, 20]
    _refuse_other_figures(pages)
