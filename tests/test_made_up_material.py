"""A material that is added by one entry is sold, refused and offered by it, and asked for in the office."""

import pytest
from sqlalchemy import text

from app.actions.catalogue.balloon_types import BalloonTypeFigures, add_balloon_type
from app.actions.errors import Refused
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.shop.office import change_settings
from app.physics.balloon import Gas
from app.physics.material import Material
from app.quoting.alternatives import find_alternatives
from app.quoting.build_sheets.weights import small_latex
from app.quoting.parts import sell
from app.quoting.quote import make_quote
from app.quoting.request import LineRequest, Service
from tests.actions.builders import MORNING, at, line, order_request
from tests.places.payloads import Page

FIGURES = {"nominal_in": 12.0, "mass_g": 3.0, "price_minor": 300, "fill_minor": 90, "median_hours": 200.0}


@pytest.fixture
def stocked(session, bubble):
    """The catalogue with a bubble that floats; a shop's own database takes it after a migration of its check."""
    session.execute(text("PRAGMA ignore_check_constraints = ON"))
    row = add_balloon_type(session, BalloonTypeFigures(name="12 in bubble", material="bubble", **FIGURES))
    yield row.id, load_catalogue(session)
    session.rollback()
    session.execute(text("PRAGMA ignore_check_constraints = OFF"))


def test_it_works(session, stocked, bubble):
    change_settings(session, {"spares_percent": 5})
    key, catalogue = stocked
    shop = load_shop(session)
    wanted = order_request(catalogue, LineRequest(key, None, 40, gas=Gas.HELIUM))
    (batch,) = make_quote(wanted, shop, catalogue, MORNING).batches
    assert batch.fill.balloon_type.material is bubble
    assert batch.fill.endurance.budget == 200.0
    assert batch.fill.spares == 2


def test_it_is_offered_in_place_of_what_sinks_too_soon(stocked, shop):
    _, catalogue = stocked
    hours = {"ready_by": at(9), "event_start": at(18), "lasts_until": at(0, days=1)}
    wanted = order_request(catalogue, line(catalogue), **hours)

    def ask(request):
        return make_quote(request, shop, catalogue, MORNING)

    found = find_alternatives(ask(wanted), ask, shop, catalogue, MORNING)
    of_material = {way.key: way.quote.lines[0].title for way in found if isinstance(way.change, Material)}
    assert of_material["bubble"] == "12 in bubble"
    assert set(of_material) == {"foil", "sphere", "bubble"}


@pytest.mark.parametrize(
    ("asked", "field"), [({"treated": True}, "treated"), ({"service": Service.TOP_UP}, "what")]
)
def test_what_its_entry_does_not_allow_is_refused(stocked, shop, asked, field):
    key, catalogue = stocked
    with pytest.raises(Refused) as refusal:
        sell(LineRequest(key, None, 1, gas=Gas.HELIUM, **asked), 0, catalogue, shop)
    assert [problem.field for problem in refusal.value.problems] == [field]


def test_its_own_is_filled_as_its_entry_says(stocked, shop):
    key, catalogue = stocked
    sold = sell(LineRequest(key, None, 1, gas=Gas.HELIUM, service=Service.OWN), 0, catalogue, shop)
    assert sold.unit_minor == 90


def test_a_small_one_serves_as_a_water_weight(stocked):
    assert "12 in bubble" in {one.name for one in small_latex(stocked[1])}


def test_the_office_asks_for_its_measures(client, bubble):
    page = client.get("/office/balloon-types/new?material=bubble").text
    asked = Page(page).values
    assert asked["material"] == "bubble"
    assert {"rated_in", "median_hours", "fill"} <= set(asked)
    assert not {"size_factor", "helium_l", "top_up"} & set(asked)
    assert ">Bubble</a>" in page


def test_its_hours_are_asked_for_where_it_floats(session, bubble):
    figures = {**FIGURES, "median_hours": None}
    with pytest.raises(Refused) as refusal:
        add_balloon_type(session, BalloonTypeFigures(name="12 in bubble", material="bubble", **figures))
    assert [problem.field for problem in refusal.value.problems] == ["median_hours"]
