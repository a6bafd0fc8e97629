"""What is typed in a shop in inches and ounces: kept in metric units, and unchanged by a form that is sent back."""

import pytest
from sqlalchemy import select

from app.actions.records.orders import load_order
from app.actions.records.shop import load_shop
from app.store.models import BalloonTypeRow, DesignRow, SupplyRow
from app.web.forms import MeasuredField, NumberField, ShopForm, WindField
from app.web.measures import OTHER_UNITS
from tests.places.page_states import is_refused, wrong_fields
from tests.places.payloads import Page, take
from tests.places.settings_pages import ADDRESSES, page_with
from tests.places.test_office_designs import COLUMN

INCHES = {"measures": "inches and ounces"}
RIBBON = {
    "sort": "ribbon",
    "name": "Satin",
    "grams": "0.5",
    "pack_size": "123.4",
    "pack_cost": "2",
    "price": "0.34",
}
BAG = {"sort": "bag", "name": "Sack", "width_cm": "61.3", "pack_size": "1", "pack_cost": "2", "price": ""}
WEIGHT = {"sort": "weight", "name": "Anchor", "grams": "83.7", "pack_size": "1", "pack_cost": "2", "price": ""}
OUTDOORS = {
    "surroundings": "shade",
    "venue_wind": "5.4",
    "venue_elevation": "351.5",
    "accepted_risk": "We hold them.",
}


@pytest.fixture
def in_inches(client):
    client.post("/office/settings", data=INCHES)
    return client


def _fields(form):
    return [(form, name, field) for name, field in vars(form).items() if hasattr(field, "field_class")]


def _forms(of=ShopForm):
    for form in of.__subclasses__():
        yield form
        yield from _forms(form)


def test_every_field_for_a_measure_is_typed_in_the_shops_unit(app):
    """A number whose unit a shop in inches and ounces does not use is in a field that converts it."""
    fields = [one for form in _forms() if form.__module__.startswith("app.") for one in _fields(form)]
    numbers = [(form, name, field) for form, name, field in fields if issubclass(field.field_class, NumberField)]
    fixed = [(form.__name__, name) for form, name, field in numbers if set(field.args) & set(OTHER_UNITS)]
    assert fixed == [("BalloonTypeForm", "nominal_in")]  # the size by which the trade names it
    assert sum(issubclass(field.field_class, MeasuredField) for _, _, field in fields) > 20
    assert sum(issubclass(field.field_class, WindField) for _, _, field in fields) == 2


def test_settings_sent_back_unchanged_stay_as_they_are(client, database):
    odd = {"knot_below_cm": "33.3", "tag_g": "0.77", "wind_limit_m_s": "7.9", "shop_celsius": "19.3"}
    others = {"temperature": "°F", "length": "cm", "garland_mix": "5 in × 60, 16.5 in × 40"}
    client.post("/office/settings", data=odd | INCHES | others)
    before = _settings(database)
    assert [before[key] for key in odd] == [33.3, 0.77, 7.9, 19.3]
    for address in ADDRESSES:
        assert client.post("/office/settings", data=Page(client.get(address).text).values).status_code == 303
    assert _settings(database) == before


@pytest.mark.parametrize(
    ("typed", "saved"),
    [("28 cm × 50, 13 cm × 50", "11 in × 50, 5.12 in × 50"), ("40 cm × 1, 9 in x 2", "16 in × 1, 9 in x 2")],
)
def test_a_garland_is_mixed_in_the_shops_unit_of_size(client, database, typed, saved):
    """28 cm and 40 cm are printed on packs of 11 in and 16 in (common practice, no source)."""
    client.post("/office/settings", data={"length": "cm"})
    assert "40.6 cm × 10" in Page(page_with(client, "garland_mix")).values["garland_mix"]
    client.post("/office/settings", data={"garland_mix": typed})
    assert _settings(database)["garland_mix"] == saved


def test_temperatures_of_settings_are_typed_in_the_shops_unit(client, database):
    client.post("/office/settings", data={"temperature": "°F"})
    assert Page(page_with(client, "shop_celsius")).values["shop_celsius"] == "68"
    client.post("/office/settings", data={"shop_celsius": "77", "indoors_celsius": "18 °C"})
    assert [_settings(database)[key] for key in ("shop_celsius", "indoors_celsius")] == [25.0, 18.0]


def test_settings_are_typed_in_the_shops_units(in_inches, database):
    typed = {"knot_below_cm": "10", "wind_limit_m_s": "20", "tag_g": "1 g", "strung_spacing_m": "0.5 m"}
    assert in_inches.post("/office/settings", data=typed).status_code == 303
    saved = _settings(database)
    assert [saved[key] for key in typed] == [25.4, 8.94, 1.0, 0.5]
    assert Page(page_with(in_inches, "knot_below_cm")).values["knot_below_cm"] == "10"


def test_a_page_of_settings_that_was_opened_in_other_measures_is_refused(client, database):
    """Its numbers would be read in units in which they were not typed."""
    opened = Page(page_with(client, "knot_below_cm")).values
    client.post("/office/settings", data=INCHES)
    before = _settings(database)
    answer = client.post("/office/settings", data=opened)
    assert (answer.status_code, is_refused(answer.text)) == (409, True)
    assert _settings(database) == before


def test_what_is_out_of_range_in_the_shops_unit_is_refused(in_inches):
    answer = in_inches.post("/office/settings", data={"knot_below_cm": "200", "ribbon_m": "70"})
    assert (answer.status_code, wrong_fields(answer.text)) == (422, ["ribbon_m", "knot_below_cm"])


def _settings(database):
    with database.reading() as session:
        return dict(load_shop(session).display)


@pytest.mark.parametrize("sent", [RIBBON, BAG, WEIGHT], ids=["ribbon", "bag", "weight"])
def test_a_supply_sent_back_unchanged_stays_as_it_is(client, database, sent):
    client.post("/office/supplies/new", data=sent)
    before = _row(database, SupplyRow)
    client.post("/office/settings", data=INCHES)
    page = Page(client.get(f"/office/supplies/{before['id']}").text).values
    measured = "width_cm" if "width_cm" in sent else "grams"
    assert page[measured] != sent[measured]
    assert client.post(f"/office/supplies/{before['id']}", data=page).status_code == 303
    assert _row(database, SupplyRow) == before


def test_the_weight_of_ribbon_is_typed_by_its_length(in_inches, database):
    """1 oz on 100 ft is 28.35 g on 30.48 m."""
    in_inches.post("/office/supplies/new", data=RIBBON | {"grams": "1"})
    assert _row(database, SupplyRow)["grams"] == pytest.approx(28.349523125 / 30.48, rel=5e-4)


def test_a_balloon_type_sent_back_unchanged_stays_as_it_is(in_inches, database):
    with database.reading() as session:
        before = {row.id: row.mass_g for row in session.scalars(select(BalloonTypeRow))}
    for number in before:
        page = Page(in_inches.get(f"/office/balloon-types/{number}").text).values
        assert in_inches.post(f"/office/balloon-types/{number}", data=page).status_code == 303
    with database.reading() as session:
        assert {row.id: row.mass_g for row in session.scalars(select(BalloonTypeRow))} == before


def test_a_design_sent_back_unchanged_stays_as_it_is(client, database):
    sent = COLUMN | {"figures-height_m": "1.93", "parts-0-quantity": "40"}
    assert client.post("/office/designs/new", data=sent).status_code == 303
    before = _row(database, DesignRow)
    client.post("/office/settings", data=INCHES)
    page = Page(client.get(f"/office/designs/{before['id']}").text).values
    assert page["figures-height_m"] != "1.93"
    assert client.post(f"/office/designs/{before['id']}", data=page).status_code == 303
    assert _row(database, DesignRow)["build"] == before["build"]


def test_an_order_sent_back_unchanged_stays_as_it_is(client, database):
    number = take(client, **OUTDOORS)
    client.post("/office/settings", data=INCHES)
    page = Page(client.get(f"/counter/orders/{number}/change").text).values
    assert (page["venue_wind"], page["venue_elevation"]) == ("12", "1153.2")
    client.post(f"/counter/orders/{number}/change", data=page)
    assert _venue(database, number) == (5.4, 351.5)


@pytest.mark.parametrize(
    ("wind", "altitude", "kept"),
    [("12", "1148", (5.4, 350.0)), ("5 m/s", "350 m", (5.0, 350.0)), ("20 km/h", "1,148 ft", (5.6, 350.0))],
)
def test_a_venue_is_typed_in_the_shops_units_or_with_another(in_inches, database, wind, altitude, kept):
    sent = OUTDOORS | {"venue_wind": wind, "venue_elevation": altitude}
    number = take(in_inches, **sent)
    assert _venue(database, number) == kept


def test_a_metric_shop_may_type_feet(client, database):
    assert _venue(database, take(client, venue_elevation="1148 ft"))[1] == 350.0


def test_ten_balloons_are_weighed_in_ounces(in_inches, database):
    in_inches.post("/office/balloon-types/4/weigh", data={"ten": "1"})
    with database.reading() as session:
        assert session.get(BalloonTypeRow, 4).mass_g == pytest.approx(2.835)


def test_the_calculator_is_asked_in_feet(in_inches):
    """A column of 7 ft 3 in is one of 2.21 m."""
    feet = in_inches.get("/bench/calculator?form=column&height_m=7.25")
    metres = in_inches.get("/bench/calculator?form=column&height_m=2.21 m")
    made = [Page(one.text).by_id["made"]["text"] for one in (feet, metres)]
    assert made[0] == made[1]
    assert wrong_fields(in_inches.get("/bench/calculator?form=column&height_m=20").text) == ["height_m"]


def _venue(database, number):
    with database.reading() as session:
        order = load_order(session, number)
        return order.wind_m_s, order.venue_elevation_m


def _row(database, model):
    """The columns of the newest row."""
    with database.reading() as session:
        row = session.scalars(select(model).order_by(model.id.desc())).first()
        return {column.key: getattr(row, column.key) for column in model.__table__.columns}
