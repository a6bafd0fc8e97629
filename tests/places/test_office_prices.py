"""The price lists: all prices on one page, saved together or not at all; as .csv out and in, with a preview."""

import csv
import io
import re

import pytest
from markupsafe import escape

from app.actions.catalogue.balloon_types import archive_balloon_type
from app.store.models import BalloonTypeRow, OfficeChange, SupplyRow
from tests.places.page_states import states, values, wrong_fields
from tests.places.payloads import Page

BALLOONS, SUPPLIES = "/office/balloon-types/prices", "/office/supplies/prices"


def _prices(database, goods, number):
    with database.reading() as session:
        row = session.get(goods, number)
        return row.pack_size, row.pack_minor, row.price_minor


def _drawn(client, address):
    values = Page(client.get(address).text).values
    return {name: text for name, text in values.items() if name not in ("q", "file")}


def _table(client, address):
    return client.get(f"{address}.csv").data


def _change(data, number, column, text):
    """The table with another text in one cell, as a spreadsheet saves it."""
    head, *rows = csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""))
    for row in rows:
        if row[0] == str(number):
            row[head.index(column)] = text
    return _written([head, *rows])


def _written(rows, delimiter=","):
    file = io.StringIO()
    csv.writer(file, delimiter=delimiter).writerows(rows)
    return file.getvalue().encode("utf-8-sig")


def _send(client, address, data):
    return client.post(f"{address}/file", data={"file": (io.BytesIO(data), "prices.csv")})


def _preview(answer):
    (shown,) = states(answer.text, "changed-rows")
    return tuple(int(shown[f"data-{one}-rows"]) for one in ("changed", "refused", "same"))


def test_changed_rows_are_saved_with_one_press_and_stand_in_both_histories(client, database):
    before = _prices(database, BalloonTypeRow, 5)
    saved = client.post(
        BALLOONS, data=_drawn(client, BALLOONS) | {"price-4": "1,75", "pack_size-4": "50", "pack_cost-4": "9.5"}
    )
    assert (saved.status_code, saved.location) == (303, BALLOONS)
    assert _prices(database, BalloonTypeRow, 4) == (50, 950, 175)
    assert _prices(database, BalloonTypeRow, 5) == before
    with database.reading() as session:
        changes = {entry.subject: {one[0] for one in entry.changes} for entry in session.query(OfficeChange)}
    assert changes["balloon type 4"] == {"price", "pack_size", "pack_cost"}
    assert changes["balloon prices"] == {"price-4", "pack_size-4", "pack_cost-4"}


def test_one_wrong_price_has_its_sentence_and_no_row_is_saved(client, database):
    before = [_prices(database, BalloonTypeRow, number) for number in (4, 5)]
    refused = client.post(BALLOONS, data=_drawn(client, BALLOONS) | {"price-4": "9.99", "pack_size-5": "many"})
    assert (refused.status_code, wrong_fields(refused.text)) == (422, ["pack_size-5"])
    assert Page(refused.text).values["price-4"] == "9.99"
    assert [_prices(database, BalloonTypeRow, number) for number in (4, 5)] == before


def test_prices_that_a_balloon_type_does_not_have_have_no_field(client, database):
    drawn = _drawn(client, BALLOONS)
    with database.reading() as session:
        rows = session.query(BalloonTypeRow).all()
        fills = {row.id for row in rows if row.material.traits.takes_own and not row.air_only}
    assert {int(name.removeprefix("fill-")) for name in drawn if name.startswith("fill-")} == fills
    assert fills


def test_a_treated_price_is_entered_and_blank_shows_what_is_charged(client, database):
    client.post("/office/settings", data={"treat_minor": "0.75"})
    client.post(BALLOONS, data={"price-4": "1.25", "treated-4": ""})
    assert _charged_if_blank(client, "treated-4") == "2.00"
    assert client.post(BALLOONS, data={"treated-4": "3.10"}).status_code == 303
    assert _drawn(client, BALLOONS)["treated-4"] == "3.10"
    with database.reading() as session:
        rows = session.query(BalloonTypeRow).all()
        assert session.get(BalloonTypeRow, 4).treated_minor == 310
        can = {row.id for row in rows if row.material.traits.can_be_treated and not row.air_only}
    drawn = _drawn(client, BALLOONS)
    assert {int(name.removeprefix("treated-")) for name in drawn if name.startswith("treated-")} == can
    assert can


def _charged_if_blank(client, name):
    return re.search(rf'name="{name}"[^>]*placeholder="([^"]*)"', client.get(BALLOONS).text)[1]


def test_a_treated_price_goes_out_and_in_as_a_column_and_one_below_the_price_is_refused(client, database):
    client.post(BALLOONS, data={"price-4": "1.25", "treated-4": "3.10"})
    data = _table(client, BALLOONS)
    assert _cell(data, 4, "Treated") == "3.10"
    shown = _send(client, BALLOONS, _change(data, 4, "Treated", "1.24"))
    assert (_preview(shown)[:2], len(values(shown.text, "refused-line"))) == ((0, 1), 1)
    shown = _send(client, BALLOONS, _change(data, 4, "Treated", ""))
    assert _preview(shown)[:2] == (1, 0)
    assert client.post(BALLOONS, data=_form_of(shown)).status_code == 303
    with database.reading() as session:
        assert session.get(BalloonTypeRow, 4).treated_minor is None


def _cell(data, number, column):
    head, *rows = csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""))
    return next(row[head.index(column)] for row in rows if row[0] == str(number))


def test_what_is_archived_is_not_on_the_list(client, database, now):
    with database.writing() as session:
        archive_balloon_type(session, 4, now())
    assert "price-4" not in _drawn(client, BALLOONS)
    assert _preview(_send(client, BALLOONS, _written([["Number", "Price"], ["4", "1"]]))) == (0, 1, 0)


def test_a_price_of_a_supply_may_be_blank_and_a_rental_has_a_deposit(client, database):
    with database.reading() as session:
        rental = session.query(SupplyRow).filter_by(sort="rental").first()
        numbers = {row.id: row.sort for row in session.query(SupplyRow)}
    drawn = _drawn(client, SUPPLIES)
    assert {name for name in drawn if name.startswith("deposit-")} == {
        f"deposit-{number}" for number, sort in numbers.items() if sort == "rental"
    }
    number = rental.id if rental else min(numbers)
    assert client.post(SUPPLIES, data=drawn | {f"price-{number}": ""}).status_code == 303
    assert _prices(database, SupplyRow, number)[2] is None


@pytest.mark.parametrize("address", [BALLOONS, SUPPLIES])
def test_a_list_that_goes_out_and_comes_in_again_changes_nothing(client, address):
    data = _table(client, address)
    assert data.startswith("\ufeff".encode())
    changed, refused, same = _preview(_send(client, address, data))
    assert (changed, refused) == (0, 0)
    assert same == data.count(b"\r\n") - 1
    assert client.post(address, data=_drawn(client, address)).status_code == 303
    assert _table(client, address) == data


@pytest.mark.parametrize("locale", ["en_GB", "en_DE"])
def test_it_goes_out_and_in_byte_by_byte_in_every_locale(client, locale):
    client.post("/office/settings", data={"locale": locale})
    data = _table(client, BALLOONS)
    assert (b'"1,10"' in data) == (locale == "en_DE")
    wanted = _change(data, 4, "Cost of a pack", "12,5")
    preview = _send(client, BALLOONS, wanted)
    assert _preview(preview)[:2] == (1, 0)
    assert client.post(BALLOONS, data=_form_of(preview)).status_code == 303
    text = "12,50" if locale == "en_DE" else "12.50"
    assert _change(_table(client, BALLOONS), 4, "Cost each", "") == _change(
        _change(data, 4, "Cost of a pack", text), 4, "Cost each", ""
    )


def _form_of(answer):
    values = Page(answer.text).values
    return {name: text for name, text in values.items() if name not in ("q", "file")}


def test_the_preview_shows_what_changes_and_saves_nothing_until_save_is_pressed(client, database):
    before = _prices(database, BalloonTypeRow, 4)
    shown = _send(client, BALLOONS, _change(_table(client, BALLOONS), 4, "Price", "2.25"))
    assert (shown.status_code, _preview(shown)[:2]) == (200, (1, 0))
    assert [one["id"] for one in states(shown.text, "from-file")] == ["price-4"]
    assert _prices(database, BalloonTypeRow, 4) == before
    assert client.post(BALLOONS, data=_form_of(shown)).status_code == 303
    assert _prices(database, BalloonTypeRow, 4) == (*before[:2], 225)


def test_a_price_that_was_changed_after_the_preview_is_not_saved_over(client, database):
    shown = _send(client, BALLOONS, _change(_table(client, BALLOONS), 4, "Price", "2.25"))
    client.post(BALLOONS, data={"price-4": "3.00"})
    assert client.post(BALLOONS, data=_form_of(shown)).status_code == 409
    assert _prices(database, BalloonTypeRow, 4)[2] == 300


def test_a_decimal_comma_is_the_same_amount_and_not_a_change(client):
    rows = [*csv.reader(io.StringIO(_table(client, BALLOONS).decode("utf-8-sig"), newline=""))]
    with_commas = [[re.sub(r"^(\d+)\.(\d\d)$", r"\1,\2", cell) for cell in row] for row in rows]
    assert _preview(_send(client, BALLOONS, _written(with_commas, ";"))) == (0, 0, len(rows) - 1)
    shown = _send(client, BALLOONS, _change(_written(with_commas), 4, "Price", "7,77"))
    assert _preview(shown) == (1, 0, len(rows) - 2)
    assert Page(shown.text).values["price-4"] == "7,77"
    assert Page(shown.text).values["pack_cost-4"] == "0.00"


def test_a_column_that_is_missing_is_named_and_its_prices_stay(client, database):
    before = _prices(database, BalloonTypeRow, 4)
    shown = _send(client, BALLOONS, _written([["Number", "Price"], ["4", "1.95"]]))
    assert values(shown.text, "missing-columns") == ["5"]
    assert client.post(BALLOONS, data=_form_of(shown)).status_code == 303
    assert _prices(database, BalloonTypeRow, 4) == (*before[:2], 195)


@pytest.mark.parametrize("cell", ["=1+1", "'=1+1", "#REF!", "£9.99", "-1", "1.0E+03", "01.Dez", ""])
def test_a_cell_that_is_no_price_is_refused_with_what_stands_there_and_changes_nothing(client, database, cell):
    before = _prices(database, BalloonTypeRow, 4)
    shown = _send(client, BALLOONS, _change(_table(client, BALLOONS), 4, "Price", cell))
    assert _preview(shown)[:2] == (0, 1)
    assert escape(cell.removeprefix("'")) in shown.text
    client.post(BALLOONS, data=_form_of(shown))
    assert _prices(database, BalloonTypeRow, 4) == before


def test_each_refused_row_has_its_line_and_the_others_are_kept(client):
    names = _names(client)
    rows = [
        ["Number", "Balloon type", "Price", "Filled only"],
        ["4", "Another", "1.00", ""],
        ["99", "", "1.00", ""],
        ["x", "", "1.00", ""],
        ["5", "", "much", ""],
        ["6", "", "1.00", "2.00"],  # has no such price
        ["7", "", "1.00", "", "more"],
        ["8", "", "8.88", ""],
        ["8", "", "9.99", ""],
    ]
    for row in rows[2:]:
        row[1] = names.get(row[0], "")
    shown = _send(client, BALLOONS, _written(rows, ";"))
    assert values(shown.text, "refused-line") == ["2", "3", "4", "5", "6", "7", "9"]
    assert values(shown.text, "changed-line") == ["8"]
    assert Page(shown.text).values["price-8"] == "8.88"


def _names(client):
    _, *rows = csv.reader(io.StringIO(_table(client, BALLOONS).decode("utf-8-sig"), newline=""))
    return {row[0]: row[1] for row in rows}


@pytest.mark.parametrize(
    "data",
    [b"", b"\xff\xfe\x00", b"Name,Price\n1,2\n", b"Number,Colour\n4,red\n", b"Number,Price,price\n4,1,2\n"],
)
def test_a_file_that_is_no_list_of_prices_is_refused_at_its_field(client, data):
    refused = _send(client, BALLOONS, data)
    assert (refused.status_code, wrong_fields(refused.text)) == (422, ["file"])


def test_a_name_that_looks_like_a_formula_goes_out_and_in(client, database):
    with database.writing() as session:
        session.get(BalloonTypeRow, 4).name = "=1+1 latex"
    data = _table(client, BALLOONS)
    assert b"'=1+1 latex" in data
    assert _preview(_send(client, BALLOONS, data))[:2] == (0, 0)
