"""The shop's whole day on PostgreSQL: taken, filled, handed over, reviewed; and refused where SQLite refuses."""

import re
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier

import pytest
from sqlalchemy import func, select

from app.actions.bench.taps import Press, TapAction, tap_batch, undo_tap
from app.actions.errors import ChangedMeanwhile
from app.actions.money.payments import PaymentInput, add_payment, undo_payment
from app.actions.orders.customers import merge_customers
from app.actions.orders.hand_over import steps_of, take_step
from app.actions.orders.quick_sale import make_quick_sale, undo_quick_sale
from app.actions.orders.take import change_order, take_order
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.rentals.returns import return_all
from app.actions.shop.new_shop import fill_new_shop
from app.actions.shop.office import change_settings, replan_open_orders
from app.actions.stock.articles import Article
from app.physics.light import Surroundings
from app.quoting.errors import Refused
from app.quoting.request import ExtraRequest, ExtraSort, LineRequest
from app.quoting.states import PaymentDirection
from app.store.engine import Database
from app.store.migrate import is_current, upgrade
from app.store.models import BalloonTypeRow, Customer, Order, OrderBatch, RentalReturn, Tap
from app.store.queries.bench import batches_ahead, batches_of_day, batches_of_earlier_days
from app.store.queries.customers import find_customers, find_duplicates
from app.store.queries.order_list import OrderSearch, search_orders
from app.store.queries.pickups import pickups_of_day
from app.store.queries.rentals import rentals_out
from app.store.queries.review import completed, missed, totals
from app.store.queries.sales import quick_sales_between
from app.store.queries.work import crews_out, open_work
from tests.actions.builders import (
    ANYWAY,
    BENCH_REASON,
    EIGHT,
    MORNING,
    WHO,
    at,
    balloon_type_id,
    bouquet,
    ctx,
    design_line,
    line,
    order_request,
    take,
    tap,
)
from tests.actions.rental_helpers import hand_over, pole, rental
from tests.actions.stock.test_shortages import race
from tests.actions.stock_helpers import free, lot, on_hand
from tests.actions.supply_helpers import supply
from tests.places.payloads import payload, words
from tests.store.conftest import address_of, new_database

pytestmark = pytest.mark.database
DAY = (MORNING - timedelta(hours=7), MORNING + timedelta(hours=17))


@pytest.fixture(scope="module")
def shop_template(postgres_url):
    """A new shop's shelves, priced, on PostgreSQL: copied for each test, never opened by one."""
    with new_database(postgres_url) as name:
        url = address_of(name, postgres_url)
        upgrade(url)
        store = Database(url)
        with store.writing() as session:
            assert fill_new_shop(session)
            change_settings(session, {"zone": "Europe/London", "currency_symbol": "£"})
            for balloon_type in session.scalars(select(BalloonTypeRow)):
                balloon_type.price_minor = round(balloon_type.nominal_in * 10)
        store.engine.dispose()
        yield name


@pytest.fixture
def shop_url(postgres_url, shop_template):
    with new_database(postgres_url, shop_template) as name:
        yield address_of(name, postgres_url)


@pytest.fixture
def shop_store(shop_url, open_store):
    return open_store(shop_url)


@pytest.fixture
def browser(build_app, shop_url, shop_store, now):
    app = build_app(shop_url)
    app.config.update(TESTING=True, WTF_CSRF_ENABLED=False)
    return app.test_client()


def _hand_over(session, order):
    for batch in order.batches:
        tap(session, batch, "burst", now=EIGHT, colour=batch.colours[0][0])
        tap(session, batch, "finish", now=at(9))
    for step in steps_of(treated=any(batch.treated for batch in order.batches)):
        take_step(ctx(session, who="Isolde", now=at(13)), order.number, step, f"{order.number} {step}", sure=ANYWAY)


def test_the_tables_are_at_the_newest_step(shop_store, shop_url):
    assert is_current(shop_url)
    assert shop_store.describe().library.startswith("PostgreSQL")


def test_an_order_outdoors_keeps_its_wind_and_its_weights(shop_store):
    with shop_store.writing() as session:
        windy = {"surroundings": Surroundings.SHADE, "wind_m_s": 8.0, "accepted_risk": "Fine."}
        take(session, order_request(load_catalogue(session), **windy))
    with shop_store.reading() as session:
        saved = session.scalars(select(Order)).one()
        assert (saved.wind_m_s, [batch.weight_g for batch in saved.batches]) == (8.0, [235.0])


def test_an_order_goes_the_whole_way(shop_store):
    with shop_store.writing() as session:
        catalogue = load_catalogue(session)
        design = bouquet(session, catalogue)
        order = take(
            session, order_request(load_catalogue(session), line(catalogue, treated=True), design_line(design, 2))
        )
        _hand_over(session, order)
    with shop_store.reading() as session:
        saved = session.scalars(select(Order)).one()
        assert (saved.state, saved.handed_over_at, saved.verdict) == ("handed over", at(13), "safe")
        (row,) = completed(session, *DAY)
        assert (row.balloons, row.bursts, row.minutes_late) == (24 + 2 * 10, 3, 0)
        sums = totals(session, *DAY)
        assert (sums.orders, sums.on_time, sums.balloons, sums.bursts) == (1, 1, row.balloons, row.bursts)
        assert (sums.revenue_minor, sums.net_minor) == (row.revenue_minor, row.net_minor)
        assert (sums.costed, sums.cost_minor) == (1 if row.cost_minor else 0, row.cost_minor or 0)


def test_a_sale_is_made_counted_and_taken_back(shop_store):
    with shop_store.writing() as session:
        catalogue = load_catalogue(session)
        sold = [
            make_quick_sale(
                ctx(session, who=WHO, shop=load_shop(session), catalogue=catalogue, now=EIGHT),
                LineRequest(balloon_type_id(catalogue), None, 3),
                key,
            )
            for key in ("sale-1", "sale-1", "sale-2")
        ]
        assert sold[0] is sold[1]
        undo_quick_sale(ctx(session, who=WHO, now=at(9)), sold[2].number)
    with shop_store.reading() as session:
        assert [(row.number, row.balloons) for row in completed(session, *DAY)] == [(sold[0].number, 3)]
        assert [row.is_undone for row in quick_sales_between(session, *DAY)] == [True, False]
        assert batches_of_day(session, *DAY, is_today=True) == []
        assert pickups_of_day(session, *DAY, is_today=True) == []


def test_bench_and_pickups_read_what_was_taken(shop_store):
    with shop_store.writing() as session:
        catalogue = load_catalogue(session)
        order = take(session, order_request(catalogue, line(catalogue), line(catalogue, "12 in latex", quantity=2)))
        tap(session, order.batches[0], "fill", count=10)
    with shop_store.reading() as session:
        rows = batches_of_day(session, *DAY, is_today=True)
        assert [row.inflate_by for row in rows] == sorted(row.inflate_by for row in rows)
        assert {row.key: (row.quantity, row.filled) for row in rows} == {
            f"{order.number}-1": (24, 10),
            f"{order.number}-2": (2, 0),
        }
        assert batches_ahead(session, DAY[1], MORNING) == []
        (pickup,) = pickups_of_day(session, *DAY, is_today=True)
        assert (pickup.filled, pickup.quantity, pickup.all_filled) == (10, 26, False)
        midnight, next_morning = DAY[1], at(8, days=1)
        assert open_work(session, next_morning) == []
        assert len(batches_of_earlier_days(session, midnight, next_morning)) == 2
        assert [row.number for row in missed(session, *DAY, midnight, next_morning)] == [order.number]
        next_day = midnight, at(0, days=2)
        assert batches_of_day(session, *next_day, is_today=True, now=next_morning) == []


def test_a_repeated_key_gives_the_same_order_and_the_same_tap(shop_store):
    numbers = []
    for _ in range(2):
        with shop_store.writing() as session:
            order = take(session, order_request(load_catalogue(session)))
            tap(session, order.batches[0], "fill", key="once", count=5)
            numbers.append(order.number)
    with shop_store.reading() as session:
        assert numbers == [session.scalars(select(Order.number)).one()] * 2
        assert session.scalar(select(func.count()).select_from(Tap)) == 1


def test_a_stale_change_is_told(shop_store):
    with shop_store.writing() as session:
        number = take(session, order_request(load_catalogue(session))).number

    def change(customer):
        with shop_store.writing() as session:
            shop, catalogue = load_shop(session), load_catalogue(session)
            change_order(
                ctx(session, who="Tobiah", shop=shop, catalogue=catalogue, now=MORNING),
                number,
                1,
                order_request(catalogue, customer=customer),
            )

    change("First")
    with pytest.raises(ChangedMeanwhile):
        change("Second")
    with shop_store.reading() as session:
        assert session.scalars(select(Order.customer)).one() == "First"


def test_two_counters_never_draw_the_same_number(shop_url, shop_store, open_store):
    """Two processes have no lock in common: here two databases opened apart stand for them."""
    counters = [shop_store, open_store(shop_url)]

    def take_at(place):
        with counters[place % 2].writing() as session:
            shop, catalogue = load_shop(session), load_catalogue(session)
            wanted = order_request(catalogue, bench_override=BENCH_REASON)
            return take_order(
                ctx(session, who="Maren", shop=shop, catalogue=catalogue, now=MORNING),
                wanted,
                f"key-{place}",
            ).number

    with ThreadPoolExecutor(2) as staff:
        numbers = list(staff.map(take_at, range(12)))
    assert len(set(numbers)) == 12


def test_of_two_orders_that_fit_alone_two_counters_take_one_at_once(shop_url, shop_store, open_store):
    """One hand until half past nine: an hour of filling fits once."""
    stores, together = [shop_store, open_store(shop_url)], Barrier(2, timeout=20)

    def take_one(place):
        with stores[place].writing() as session:
            catalogue = load_catalogue(session)
            wanted = order_request(catalogue, line(catalogue, quantity=60), ready_by=at(9, 30))
            together.wait()
            try:
                return take(session, wanted, key=f"key-{place}").number
            except Refused as refused:
                return [problem.field for problem in refused.problems]

    with ThreadPoolExecutor(2) as staff:
        answers = list(staff.map(take_one, range(2)))
    assert [answer for answer in answers if isinstance(answer, list)] == [["bench_override"]]


def test_the_same_tap_from_two_counters_at_once_counts_once(shop_url, shop_store, open_store):
    counters = [shop_store, open_store(shop_url)]
    with shop_store.writing() as session:
        key = take(session, order_request(load_catalogue(session))).batches[0].key

    def fill(place):
        with counters[place].writing() as session:
            tap_batch(ctx(session, who="Maren", now=EIGHT), key, Press(TapAction.FILL, "once", count=5))

    with ThreadPoolExecutor(2) as staff:
        list(staff.map(fill, (0, 1)))
    with shop_store.reading() as session:
        assert session.scalars(select(OrderBatch.filled)).one() == 5


def test_the_same_sale_from_two_counters_at_once_is_one(shop_url, shop_store, open_store):
    counters = [shop_store, open_store(shop_url)]

    def sell(press):
        place, key = press % 2, f"sale-{press // 2}"
        with counters[place].writing() as session:
            shop, catalogue = load_shop(session), load_catalogue(session)
            return make_quick_sale(
                ctx(session, who=WHO, shop=shop, catalogue=catalogue, now=EIGHT),
                LineRequest(balloon_type_id(catalogue), None, 3),
                key,
            ).number

    with ThreadPoolExecutor(2) as staff:
        numbers = list(staff.map(sell, range(12)))
    assert numbers[::2] == numbers[1::2]
    with shop_store.reading() as session:
        rows = completed(session, *DAY)
    assert [(row.number, row.balloons) for row in rows] == [(number, 3) for number in sorted(set(numbers))]
    assert len(rows) == 6


def test_two_fills_from_two_counters_at_once_never_fill_more_than_is_left(shop_url, shop_store, open_store):
    counters = [shop_store, open_store(shop_url)]
    with shop_store.writing() as session:
        key = take(session, order_request(load_catalogue(session))).batches[0].key

    def fill(place):
        try:
            with counters[place % 2].writing() as session:
                tap_batch(
                    ctx(session, who="Maren", now=EIGHT), key, Press(TapAction.FILL, f"tap-{place}", count=10)
                )
        except Exception as refused:  # which of the two is refused is a matter of chance
            return type(refused).__name__
        return "kept"

    with ThreadPoolExecutor(2) as staff:
        told = sorted(staff.map(fill, range(4)))
    assert told == ["Refused", "Refused", "kept", "kept"]
    with shop_store.reading() as session:
        assert session.scalars(select(OrderBatch.filled)).one() == 20


def test_open_orders_are_worked_out_anew(shop_store):
    with shop_store.writing() as session:
        order = take(session, order_request(load_catalogue(session)))
        before = order.batches[0].not_before
        change_settings(session, {"shop_celsius": 27})
        replan_open_orders(ctx(session, now=EIGHT))
        assert order.batches[0].not_before > before


@pytest.mark.parametrize("text", ["Wilhelmina", "élodie", "Élodie", "960101", "1001", "%", "²"])
def test_orders_are_found(shop_store, text):
    with shop_store.writing() as session:
        catalogue = load_catalogue(session)
        take(session, order_request(catalogue))
        take(session, order_request(catalogue, customer="Élodie Åberg", phone="01632 960202"), key="key-2")
    with shop_store.reading() as session:
        found = {row.customer for row in search_orders(session, OrderSearch(text=text), 9)}
    wanted = {"élodie": {"Élodie Åberg"}, "Élodie": {"Élodie Åberg"}, "%": set(), "²": set()}
    assert found == wanted.get(text, {"Wilhelmina Hart"})


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("960", ["Élodie Åberg", "Wilhelmina Hart", "Bo Hartley"]),
        ("+44 1632 960101", ["Wilhelmina Hart"]),
        ("hart", ["Wilhelmina Hart", "Bo Hartley"]),
        ("ÉLODIE", ["Élodie Åberg"]),
        ("%%", []),
    ],
)
def test_callers_are_found_in_the_same_order(shop_store, text, wanted):
    cast = (("Bo Hartley", "960303", 7), ("Wilhelmina Hart", "01632 960101", 8), ("Élodie Åberg", "960202", 9))
    with shop_store.writing() as session:
        for name, phone, hour in cast:
            take(session, order_request(load_catalogue(session), customer=name, phone=phone), at(hour), key=name)
        session.add(Customer(name="Al Hart", name_folded="al hart", phone_digits="", last_order_at=None))
    with shop_store.reading() as session:
        found = [row.name for row in find_customers(session, text)]
    assert found == wanted + (["Al Hart"] if text == "hart" else [])


def test_duplicates_are_seen_and_merged(shop_store):
    with shop_store.writing() as session:
        catalogue = load_catalogue(session)
        keep = take(session, order_request(catalogue))
        duplicate = take(
            session, order_request(catalogue, customer="Mina Hart", phone="+44 1632 960101"), key="key-2"
        )
        (seen,) = find_duplicates(session, session.get_one(Customer, keep.customer_id))
        merge_customers(ctx(session, who="Isolde", now=at(9)), keep.customer_id, seen.id)
        assert duplicate.customer_id == keep.customer_id


def test_the_pages_work(browser):
    answer = browser.post("/counter/orders", data=payload())
    assert answer.status_code == 303
    number = answer.location.rpartition("/")[2]
    pages = ("/bench", "/bench.json", f"/bench/batches/{number}-1", "/pickups/", "/counter/", answer.location)
    pages += ("/counter/customers/1", "/counter/callers?phone=960101")
    for address in (
        *pages,
        "/office/",
        "/office/review",
        "/office/review/orders",
        "/office/review.csv",
        "/health",
        "/office/backups",
        "/staff/",
    ):
        assert browser.get(address).status_code == 200, address


@pytest.mark.parametrize("number", [2**31, 2**63, 10**30])
def test_a_number_longer_than_any_order_is_not_there(browser, number):
    assert browser.get(f"/counter/orders/{number}").status_code == 404


def test_a_name_with_a_character_that_no_database_keeps_is_no_fault(browser):
    answer = browser.post("/counter/orders", data=payload(customer="Wil\0helmina"))
    assert answer.status_code < 500


def _put_hired(store, **changes):
    with store.writing() as session:
        extras = (rental(pole(session), 3),)
        order = take(session, order_request(load_catalogue(session), extras=extras, **changes))
        hand_over(session, order)
        return order.number


def test_hired_goods_go_out_are_listed_and_taken_down_and_their_crew_is_away(shop_store, browser):
    number = _put_hired(shop_store, take_down_at=at(23), address="4 Mill Lane")
    with shop_store.reading() as session:
        assert [row.out for row in rentals_out(session)] == [3]
        _, _, (request_context,) = crews_out(session, MORNING)
        assert (request_context.let_in, request_context.done_at) == (at(23), None)
    assert f'id="rental-{number}"' in browser.get("/pickups/").text
    for act in ("cut", "all back"):
        sent = {"act": act, "client_key": act}
        assert browser.post(f"/pickups/orders/{number}/rentals", data=sent).status_code == 303
    with shop_store.reading() as session:
        assert rentals_out(session) == []
        _, _, (request_context,) = crews_out(session, MORNING)
        assert request_context.done_at == MORNING


def test_goods_that_two_counters_take_back_at_once_come_back_once(shop_url, shop_store, open_store):
    counters, number = [shop_store, open_store(shop_url)], _put_hired(shop_store, return_by=at(18))
    together = Barrier(2, timeout=20)

    def bring(place):
        together.wait()
        try:
            with counters[place].writing() as session:
                return_all(ctx(session, who=WHO, now=at(18)), number, f"press-{place}")
        except Refused:
            return "refused"
        return "taken"

    with ThreadPoolExecutor(2) as staff:
        assert sorted(staff.map(bring, range(2))) == ["refused", "taken"]
    with shop_store.reading() as session:
        assert session.scalars(select(RentalReturn.back)).all() == [3]


def test_money_is_noted_undone_due_and_reviewed(shop_store):
    with shop_store.writing() as session:
        order = take(session, order_request(load_catalogue(session)))
        order.cost_minor = 0
        undone = add_payment(ctx(session, who=WHO, now=EIGHT), order.number, PaymentInput(700), "undone")
        add_payment(ctx(session, who=WHO, now=EIGHT), order.number, PaymentInput(1000), "paid")
        undo_payment(ctx(session, who=WHO, now=EIGHT), order.number, undone.id)
        (row,) = pickups_of_day(session, *DAY, is_today=True)
        assert row.due_minor == 2640 - 1000
        _hand_over(session, order)
    with shop_store.reading() as session:
        (row,) = completed(session, *DAY)
        assert (row.net_minor, row.cost_minor) == (2640, None)


def test_of_two_refunds_from_two_counters_at_once_only_what_was_paid_goes_back(shop_url, shop_store, open_store):
    counters = [shop_store, open_store(shop_url)]
    with shop_store.writing() as session:
        number = take(session, order_request(load_catalogue(session))).number
        add_payment(ctx(session, who=WHO, now=EIGHT), number, PaymentInput(1000), "paid")

    def pay_back(press):
        try:
            with counters[press % 2].writing() as session:
                money = PaymentInput(600, direction=PaymentDirection.BACK)
                return add_payment(ctx(session, who=WHO, now=EIGHT), number, money, f"back-{press}").amount_minor
        except Refused:
            return 0

    with ThreadPoolExecutor(2) as staff:
        assert sorted(staff.map(pay_back, range(4))) == [0, 0, 0, 600]


def test_of_two_people_who_take_the_last_twelve_red_at_once_one_gets_them_and_one_is_told(shop_store, shop_url):
    with shop_store.writing() as session:
        change_settings(session, {"spares_percent": 0})
        lot(session, 12)
    told = race(shop_url)
    assert sorted(map(type, told), key=str) == [list, str]
    assert ["stock_override"] in told


def test_what_is_filled_leaves_the_shelf_and_an_undo_brings_it_back(shop_store):
    with shop_store.writing() as session:
        lot(session, 40)
        batch = take(session, order_request(load_catalogue(session))).batches[0]
        assert (on_hand(session, "red"), free(session)) == (40, 16)
        tap(session, batch, "finish")
        assert (on_hand(session, "red"), free(session)) == (16, 16)
        (finish,) = session.scalars(select(Tap).where(Tap.batch_id == batch.id))
        undo_tap(ctx(session, who=WHO, now=EIGHT), batch.key, finish.id)
        assert (on_hand(session, "red"), free(session)) == (40, 16)


def test_what_is_wanting_is_bought_comes_and_is_laid_out(shop_store, browser):
    with shop_store.writing() as session:
        catalogue = load_catalogue(session)
        bear = supply(session)
        lot(session, 5, "", article=Article(supply_id=bear.id))
        lot(session, 20)
        bears = ExtraRequest(ExtraSort.SUPPLY, 2, bear.id)
        number = take(session, order_request(catalogue, stock_override=BENCH_REASON, extras=(bears,))).number
        balloon_type = balloon_type_id(catalogue)
    too_late = words(browser.get("/office/stock/buying").text)
    assert "4 red 11 in latex" in too_late
    assert str(number) in too_late
    sent = {
        "client_key": "k",
        "rows": "1",
        "what-0": f"balloon_type-{balloon_type}",
        "colour-0": "red",
        "packs-0": "9",
    }
    sent |= {"due-0": "2026-11-23", "press": "0"}
    assert browser.post("/office/stock/buying", data=sent).status_code == 303
    assert browser.post("/office/stock/deliveries/1/came", data={"count-1": "9"}).status_code == 303
    laid_out = words(browser.get("/bench/fetch-list").text)
    assert re.search(r"24 \+ 2 spares? 20 .*11 Nov 2026.* 6 .*21 Nov 2026.* 29 ", laid_out)
    assert re.search(r"Plush bear 2 2 .*11 Nov 2026.* 5 ", laid_out)
    assert "11 in latex red 29 24 – 5" in words(browser.get("/office/stock").text)
    assert "+9 red" in words(browser.get(f"/office/stock/balloon-type/{balloon_type}").text)
    assert f"{number} 2" in words(browser.get(f"/office/stock/supply/{bear.id}").text)
