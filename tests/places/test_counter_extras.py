"""Add-ons and price on the counter's form: typed well and badly, offered, dropped, undone, repeated and changed."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import select
from wtforms.validators import ValidationError

from app.craft.money import Amount, Percent
from app.places.counter.extras import CHOOSE_EXTRA, DISCOUNT_OVER_ALL, ENTER_DISCOUNT, read_discount, typed_discount
from app.places.counter.forms import ENTER_ADDRESS
from app.quoting.errors import NO_LONGER_SOLD
from app.quoting.extras import NO_NAME_OR_PRICE
from app.quoting.rental_returns import NO_RENTALS, NO_RETURN_TIME, NO_TAKE_DOWN_TIME
from app.store.models import Order, SupplyRow
from app.web.formats import Formats
from app.web.wording.forms import CHOOSE_DATE, ENTER_TIME, enter_amount, shorten_to
from tests.actions.builders import MORNING
from tests.actions.supply_helpers import bouquet_on, priced, stand, supply
from tests.places.answers import answer_states, having
from tests.places.page_states import wrong_fields
from tests.places.payloads import Page, payload, take, words

DELIVERY = {"extras__0__what": "delivery"}
BACK = {"return_by__day": "2026-11-23", "return_by__hour": "10:00"}


@pytest.fixture
def stock(database):
    """A plush to sell and a stand to hire, and prices for the visits: what the form sends for each."""
    with database.writing() as session:
        priced(session)
        return f"supply:{supply(session).id}", f"rental:{stand(session).id}"


@pytest.fixture
def bear(stock):
    return {"extras__0__what": stock[0], "extras__0__quantity": "2"}


@pytest.fixture
def arch(stock):
    return {"extras__0__what": stock[1]}


def _draft(client, fix="work", **changes):
    answer = client.post("/counter/draft", data=payload(fix=fix, **changes))
    assert answer.status_code == 200
    return answer.text


def _problems(text):
    return [attrs["data-problem"] for attrs in having(Page(text), "data-problem")]


def _held(text):
    """The amounts in the rows of the bill for the arch stand's deposit, and its last sum."""
    rows = _bill(text)
    stands = [amount for _, title, amount in rows if "Arch stand" in title]
    return stands[-1], [amount for role, _, amount in rows if role == "sum"][-1]


def _values(text, *names):
    values = Page(text).values
    return tuple(values.get(name) for name in names)


def _order(database, number):
    with database.reading() as session:
        order = session.scalar(select(Order).where(Order.number == number))
        saved = [(one.sort, one.title, one.quantity, one.unit_minor) for one in order.extras]
        session.expunge_all()
        return order, saved


def test_an_order_with_add_ons_and_a_discount_is_taken(client, database, bear):
    own = {"extras__1__what": "other", "extras__1__title": " Night  watch ", "extras__1__each": "50,00"}
    number = take(client, discount="10 %", **bear, **own)
    order, saved = _order(database, number)
    assert saved == [("supply", "Plush bear", 2, 450), ("other", "Night watch", 1, 5000)]
    assert order.total_minor == round((2640 + 900 + 5000) * 0.9)


def test_how_many_left_empty_is_one_and_a_price_left_empty_is_the_shops(client, database, stock):
    assert _order(database, take(client, **DELIVERY))[1] == [("delivery", "Delivery", 1, 1500)]


def test_an_add_on_left_blank_is_none(client, database, stock):
    blank = {"extras__0__what": "", "extras__0__quantity": "", "extras__0__each": ""}
    number = take(client, **blank, extras__1__what="delivery")
    assert [title for _, title, _, _ in _order(database, number)[1]] == ["Delivery"]


BAD = {
    "nothing chosen": ({"extras__0__quantity": "2"}, "extras-0-what", CHOOSE_EXTRA),
    "what is not on offer": ({"extras__0__what": "castle"}, "extras-0-what", CHOOSE_EXTRA),
    "a supply without its number": ({"extras__0__what": "supply:x"}, "extras-0-what", CHOOSE_EXTRA),
    "a supply that is not there": ({"extras__0__what": "supply:999"}, "extras-0-what", NO_LONGER_SOLD),
    "words for a number": ({**DELIVERY, "extras__0__quantity": "a few"}, "extras-0-quantity", "1 to 1,000"),
    "none of it": ({**DELIVERY, "extras__0__quantity": "0"}, "extras-0-quantity", "1 to 1,000"),
    "words for a price": ({**DELIVERY, "extras__0__each": "cheap"}, "extras-0-each", enter_amount(2)),
    "a price below nothing": ({**DELIVERY, "extras__0__each": "-5"}, "extras-0-each", enter_amount(2)),
    "a price too fine": ({**DELIVERY, "extras__0__each": "4.505"}, "extras-0-each", enter_amount(2)),
    "own words without a price": (
        {"extras__0__what": "other", "extras__0__title": "Watch"},
        "extras-0-what",
        NO_NAME_OR_PRICE,
    ),
    "own words without words": (
        {"extras__0__what": "other", "extras__0__each": "5"},
        "extras-0-what",
        NO_NAME_OR_PRICE,
    ),
    "a long name": (
        {"extras__0__what": "other", "extras__0__title": "x" * 81, "extras__0__each": "5"},
        "extras-0-title",
        shorten_to(80, 81),
    ),
    "a discount in words": ({"discount": "half"}, "discount", ENTER_DISCOUNT),
    "a discount over all": ({"discount": "101 %"}, "discount", DISCOUNT_OVER_ALL),
    "a discount below nothing": ({"discount": "-5"}, "discount", ENTER_DISCOUNT),
    "a take-down without its hour": ({"extras__0__what": "take-down"}, "take_down_at-hour", NO_TAKE_DOWN_TIME),
    "a take-down nobody knows where": (
        {"extras__0__what": "take-down", "take_down_at__hour": "20:00"},
        "address",
        ENTER_ADDRESS,
    ),
    "back for nothing hired": (BACK, "return_by-hour", NO_RENTALS),
    "back with a day and no hour": ({"return_by__day": "2026-11-23"}, "return_by-hour", ENTER_TIME),
    "back with an hour and no day": ({"return_by__hour": "10:00"}, "return_by-day", CHOOSE_DATE),
}


@pytest.mark.parametrize(("changes", "field", "sentence"), BAD.values(), ids=BAD)
def test_what_is_wrong_stands_at_its_field_and_nothing_typed_is_lost(client, stock, changes, field, sentence):
    answer = client.post("/counter/orders", data=payload(**changes))
    page = Page(answer.text)
    assert answer.status_code == 422
    assert sentence in page.problem(field)
    assert wrong_fields(answer.text) == [field]
    assert page.describes(field)
    typed = {name.replace("__", "-"): value for name, value in changes.items()}
    assert {name: page.values.get(name, "") for name in typed} == typed


def test_a_slip_of_the_second_add_on_stands_there_though_the_first_is_blank(client, stock):
    blank = {"extras__0__what": "", "extras__0__quantity": ""}
    answer = client.post("/counter/orders", data=payload(**blank, extras__1__what="supply:999"))
    page = Page(answer.text)
    assert page.problem("extras-1-what") == NO_LONGER_SOLD
    assert page.problem("extras-0-what") == ""


def test_hired_goods_need_the_hour_they_come_back(client, arch):
    page = Page(client.post("/counter/orders", data=payload(**arch)).text)
    assert page.problem("return_by-hour") == NO_RETURN_TIME
    assert page.links == ["return_by-hour"]


def test_while_the_caller_talks_the_price_is_told_and_the_hour_asked_for(client, arch):
    text = _draft(client, **arch)
    assert answer_states(text)["price"] == "3840"  # 26.40 and the rental, 12.00
    assert _held(text) == ("£30.00", "£68.40")
    assert _problems(text) == ["rentals"]
    assert " data-rental" in text
    assert _problems(_draft(client, **arch, **BACK)) == []


def test_hired_goods_of_a_recipe_are_asked_for_too(client, database):
    with database.writing() as session:
        design = bouquet_on(session, stand(session))
    text = _draft(client, lines__0__what=f"design:{design.id}", lines__0__quantity="1", lines__0__colours="red")
    assert " data-rental" in text
    assert _held(text)[0] == "£30.00"


def test_a_take_down_without_a_date_is_on_the_day_it_ends(client, database, stock):
    number = take(client, extras__0__what="take-down", take_down_at__hour="20:00", address="4 Mill Lane")
    order = _order(database, number)[0]
    assert f"{order.take_down_at:%Y-%m-%d %H:%M}" == "2026-11-21 20:00"
    assert (order.hand_over, order.address) == ("collect", "4 Mill Lane")


def test_add_ons_are_added_and_dropped_and_the_others_move_up(client, stock):
    bear, arch = stock
    text = _draft(client, "add-extra", extras__0__what=bear, extras__1__what=arch, extras__1__each="9.00")
    assert _values(text, "extras-1-what", "extras-2-what", "extras-2-each") == (arch, "", "")
    text = _draft(client, "drop-extra-0", extras__0__what=bear, extras__1__what=arch, extras__1__each="9.00")
    assert _values(text, "extras-0-what", "extras-0-each", "extras-1-what") == (arch, "9.00", None)


def test_the_last_add_on_that_fits_is_the_fortieth(client, stock):
    rows = {f"extras__{place}__what": "delivery" for place in range(40)}
    assert "extras-40-what" not in Page(_draft(client, "add-extra", **rows)).by_id
    del rows["extras__39__what"]
    assert "extras-39-what" in Page(_draft(client, "add-extra", **rows)).by_id


def test_dropping_a_line_leaves_the_add_ons(client, bear):
    text = _draft(client, "drop-line-0", lines__1__what="balloon_type:5", lines__1__quantity="3", **bear)
    wanted = ("lines-0-quantity", "extras-0-what", "extras-0-quantity")
    assert _values(text, *wanted) == ("3", bear["extras__0__what"], "2")


@pytest.mark.parametrize(("offer", "title"), [("delivery", "Delivery"), ("take-down", "Take-down")])
def test_an_offer_adds_the_visit_and_works_it_out(client, stock, offer, title):
    text = _draft(client, f"offer-{offer}")
    assert _values(text, "extras-0-what") == (offer,)
    assert f"1 × {title}" in [name for _, name, _ in _bill(text)]


def test_each_choice_tells_its_price_and_a_row_the_shops(client, stock, bear):
    text = _draft(client, **bear)
    said = words(text)
    for label in (
        "Plush bear · £4.50",
        "Arch stand · £12.00 · £30.00 security deposit",
        "Delivery · £15.00",
        "Set-up · £20.00",
        "Take-down · £35.00",
    ):
        assert label in said
    assert Page(text).by_id["extras-0-each"]["placeholder"] == "4.50"


def test_what_is_retired_or_has_no_price_is_not_offered(client, database, stock):
    with database.writing() as session:
        supply(session, "Clear bag", "bag", price_minor=None)
        session.scalars(select(SupplyRow).where(SupplyRow.name == "Plush bear")).one().archived_at = MORNING
    said = words(_draft(client, "add-extra"))
    assert "Arch stand" in said
    assert "Clear bag" not in said
    assert "Plush bear" not in said


def _bill(text):
    """Titles and amounts of the bill, as they are printed."""
    rows = re.findall(r'<tr class="bill-(\w+)">\s*<th scope="row">(.*?)</th>\s*<td>(.*?)</td>', text, re.DOTALL)
    return [(weighs, words(title), amount) for weighs, title, amount in rows]


def test_the_answer_has_the_bill_item_by_item(client, database, bear):
    with database.writing() as session:
        priced(session, tax_mode="inclusive", tax_percent=20, deposit_percent=50)
    rows = _bill(_draft(client, discount="5.00", **bear))
    assert [(role, amount) for role, _, amount in rows] == [
        ("counts", "£26.40"),
        ("counts", "£9.00"),
        ("counts", "−£5.00"),
        ("sum", "£30.40"),
        ("aside", "£5.07"),
        ("aside", "£15.20"),
    ]
    assert [title.split(" at ")[0] for _, title, _ in rows[:2]] == ["24 × 11 in latex", "2 × Plush bear"]


def test_a_discount_that_is_more_than_all_there_is_says_so(client, stock):
    assert "£26.40" in Page(_draft(client, discount="500")).by_id["capped"]["text"]
    assert "capped" not in Page(_draft(client, discount="5")).by_id


def test_a_price_below_the_floor_is_warned_of_without_cost_or_margin(client, database):
    """The exact least total is tested beside the bill."""
    with database.writing() as session:
        priced(session, floor_percent=40, hour_minor=1500, tax_mode="on top", tax_percent=20)
    text = _draft(client, discount="60%")
    floor = Page(text).by_id["floor"]["text"]
    found = re.search(r"£([\d.,]+)", floor)
    with database.reading() as session:
        assert session.scalar(select(Order.id)) is None
    order, _ = _order(database, take(client, discount="60%"))
    assert float(found[1].replace(",", "")) == pytest.approx(order.cost_minor / 100 / 0.6 * 1.2, abs=0.02)
    assert f"{order.cost_minor / 100:,.2f}" not in words(text)


def test_a_price_that_was_agreed_is_not_measured_anew(client, database):
    with database.writing() as session:
        priced(session, floor_percent=40, hour_minor=50000)
    address = f"/counter/orders/{take(client, discount='5')}/change"
    assert 'id="floor"' not in client.get(address).text
    assert 'id="floor"' in client.post("/counter/draft", data=payload(fix="work", discount="5")).text


def _least(client, **sent):
    """What the answer says to charge at least; None if it warns of nothing."""
    floor = Page(_draft(client, **sent)).by_id.get("floor")
    return floor and float(re.search(r"£([\d.]+)", floor["text"])[1])


def test_the_shops_own_price_is_never_called_too_low(client, database, bear):
    """24 balloons are £26.40 and two bears £9.00 on the list, which loses money at £500 an hour."""
    with database.writing() as session:
        priced(session, floor_percent=40, hour_minor=50000)
    assert _least(client) is None
    assert _least(client, **bear) is None
    assert _least(client, **bear, extras__0__each="4.50") is None
    assert _least(client, **bear, extras__0__each="6") is None


def test_below_a_list_that_loses_money_the_list_price_is_asked(client, database, bear):
    with database.writing() as session:
        priced(session, floor_percent=40, hour_minor=50000)
    assert _least(client, discount="5") == 26.4
    assert _least(client, **bear, extras__0__each="4.40") == 35.4


def test_above_the_floor_nothing_is_said(client, database):
    with database.writing() as session:
        priced(session, floor_percent=40, hour_minor=100)
    assert "floor" not in Page(_draft(client)).by_id


PARTY = {
    "event_start__day": "2026-11-28",
    "event_start__hour": "18:00",
    "lasts_until__day": "2026-11-29",
    "lasts_until__hour": "00:00",
    "hand_over_time__day": "2026-11-28",
    "hand_over_time__hour": "09:00",
    "discount": "10 %",
}


@pytest.mark.parametrize("way", ["treat", "later", "larger"])
def test_an_alternative_leaves_the_add_ons_and_its_undo_does_too(client, stock, bear, way):
    before = Page(_draft(client, **PARTY, **bear)).values
    after = Page(_draft(client, f"alternative-0-{way}", **PARTY, **bear)).values
    assert after["undo"]
    assert after["extras-0-what"] == bear["extras__0__what"]
    undone = client.post("/counter/draft", data=after | {"fix": "undo"}).text
    assert Page(undone).values == before


def test_dropping_an_add_on_leaves_an_alternative_to_be_taken_back(client, bear):
    before = Page(_draft(client, **PARTY, **bear)).values
    after = Page(_draft(client, "alternative-0-treat", **PARTY, **bear)).values
    dropped = Page(client.post("/counter/draft", data=after | {"fix": "drop-extra-0"}).text).values
    undone = Page(client.post("/counter/draft", data=dropped | {"fix": "undo"}).text).values
    assert undone == {name: value for name, value in before.items() if not name.startswith("extras")}


@pytest.fixture
def sold(client, database, stock):
    """Hired, delivered and named in own words, with a discount; the shop's prices have changed since."""
    bear, arch = stock
    number = take(
        client,
        extras__0__what=bear,
        extras__0__quantity="2",
        extras__1__what=arch,
        extras__2__what="other",
        extras__2__title="Night watch",
        extras__2__each="50.00",
        discount="10 %",
        **BACK,
    )
    with database.writing() as session:
        for row in session.scalars(select(SupplyRow)):
            row.price_minor = 9900
    return number


def test_opened_for_change_everything_is_as_it_was_sold(client, sold):
    text = client.get(f"/counter/orders/{sold}/change").text
    wanted = ("extras-0-each", "extras-1-each", "extras-2-title", "discount", "return_by-day", "return_by-hour")
    assert _values(text, *wanted) == ("4.50", "12.00", "Night watch", "10%", "23 Nov 2026", "10:00")


def test_saved_as_it_was_opened_nothing_is_changed(client, database, sold):
    before = _order(database, sold)
    opened = Page(client.get(f"/counter/orders/{sold}/change").text).values
    answer = client.post(f"/counter/orders/{sold}/change", data=opened)
    assert answer.status_code == 303
    after = _order(database, sold)
    assert (after[1], after[0].total_minor, after[0].version) == (before[1], before[0].total_minor, 1)


def test_a_repeat_has_todays_prices_no_discount_and_no_dates(client, sold):
    text = _draft(client, f"repeat-{sold}", client_key="key-9")
    each = ("extras-0-each", "extras-1-each", "extras-2-each")
    assert _values(text, *each) == ("", "", "50.00")
    assert _values(text, "extras-0-quantity", "extras-2-title") == ("2", "Night watch")
    assert _values(text, "discount", "return_by-day", "return_by-hour") == ("", "", "")
    assert Page(text).by_id["extras-0-each"]["placeholder"] == "99.00"


def test_a_discount_typed_before_a_repeat_stays(client, sold):
    assert _values(_draft(client, f"repeat-{sold}", client_key="key-9", discount="5.00"), "discount") == ("5.00",)


@pytest.mark.parametrize("typed", [0, 1, 5])
def test_one_press_takes_a_repeat_back_with_all_add_ons(client, sold, typed):
    rows = {f"extras__{place}__what": "delivery" for place in range(typed)}
    before = Page(_draft(client, client_key="key-9", **rows)).values
    repeated = Page(_draft(client, f"repeat-{sold}", client_key="key-9", **rows)).values
    assert sum(name.endswith("-title") for name in repeated) == 3
    assert Page(client.post("/counter/draft", data=repeated | {"fix": "undo"}).text).values == before


def test_dropping_an_add_on_of_a_repeat_forgets_its_undo(client, sold):
    repeated = Page(_draft(client, f"repeat-{sold}", client_key="key-9")).values
    assert repeated["undo"]
    assert Page(client.post("/counter/draft", data=repeated | {"fix": "drop-extra-0"}).text).values["undo"] == ""


def test_a_repeat_says_what_the_shop_no_longer_has(client, database, sold):
    with database.writing() as session:
        session.scalars(select(SupplyRow).where(SupplyRow.name == "Plush bear")).one().archived_at = MORNING
    page = Page(_draft(client, f"repeat-{sold}", client_key="key-9"))
    assert page.problem("extras-0-what") == NO_LONGER_SOLD


def test_what_is_retired_stays_in_the_order_that_has_it(client, database, sold):
    with database.writing() as session:
        session.scalars(select(SupplyRow).where(SupplyRow.name == "Plush bear")).one().archived_at = MORNING
    opened = client.get(f"/counter/orders/{sold}/change").text
    assert re.search(r'<option value="supply:\d+" selected>Plush bear</option>', opened)


@pytest.mark.parametrize("undo", ['{"extras": -1}', '{"extras": 41}', '{"extras": "x"}', '{"extras": [1]}'])
def test_an_undo_that_is_none_changes_no_add_ons(client, stock, undo):
    text = _draft(client, "undo", undo=undo, **DELIVERY)
    assert _values(text, "extras-0-what", "extras-1-what") == ("delivery", None)


PENCE = Formats(None, False, False, False, "£", 2)


@given(st.one_of(st.builds(Amount, st.integers(1, 999_999_999)), st.builds(Percent, st.decimals(0, 100, places=3))))
def test_a_discount_is_typed_as_it_is_shown(discount):
    assert read_discount(typed_discount(discount, PENCE), PENCE.decimals) == discount


@given(st.text(max_size=20))
def test_whatever_is_typed_is_told_or_is_a_discount_that_can_be_shown(text):
    try:
        read = read_discount(text.strip(), 2)
    except ValidationError:
        return
    assert read_discount(typed_discount(read, PENCE) or "0", 2) == read
