"""The customer's own foil filled, and a foil topped up: priced and titled apart from what is sold."""

import pytest

from app.actions.records.sold_rows import lines_as_sold, rebuild_line
from app.physics.balloon import Gas
from app.physics.material import Material, materials_that
from app.quoting.errors import Refused
from app.quoting.parts import (
    DESIGN_ONLY_SOLD,
    NO_SERVICE_PRICE,
    NOT_TOPPED_UP,
    NOT_TREATED,
    OWN_NOT_FILLED,
    OWN_WITHOUT_HELIUM,
    TOO_HEAVY_TO_FLOAT,
)
from app.quoting.request import Service
from tests.actions.builders import (
    bouquet,
    change,
    change_type,
    design_line,
    line,
    order_request,
    problems,
    take,
)

FOIL = "18 in foil"
OWN = materials_that(lambda traits: traits.takes_own)
TREATED = materials_that(lambda traits: traits.can_be_treated)


@pytest.fixture
def priced(session):
    """An own 18 in foil is filled for 2.50, topped up for 1.00."""
    return change_type(session, FOIL, fill_minor=250, top_up_minor=100)


def _line(catalogue, service, name=FOIL, **changes):
    return line(catalogue, name, **({"quantity": 2, "colours": "", "service": service} | changes))


def test_an_own_foil_is_filled_like_the_shops_and_priced_apart(session, priced):
    order = take(session, order_request(priced, _line(priced, Service.OWN)))
    (saved,) = order.lines
    assert (saved.service, saved.unit_minor) == ("own", 250)
    assert FOIL in saved.title != FOIL
    assert [(batch.balloon_type_name, batch.quantity) for batch in order.batches] == [("18 in foil", 2)]
    assert order.total_minor == 500


def test_a_top_up_has_its_price_and_nothing_to_fill_on_the_bench(session, priced):
    order = take(session, order_request(priced, _line(priced, Service.TOP_UP)))
    (saved,) = order.lines
    assert (saved.service, saved.parts) == ("top-up", [])
    assert FOIL in saved.title != FOIL
    assert (order.batches, order.verdict, order.total_minor) == ([], "safe", 200)


def test_what_is_sold_is_as_before(session, priced):
    order = take(session, order_request(priced, line(priced, FOIL, quantity=2)))
    assert (order.lines[0].service, order.lines[0].title, order.lines[0].unit_minor) == ("sold", FOIL, 180)


def test_a_kept_line_is_the_same_wish_again_and_keeps_its_price(session, priced):
    wanted = _line(priced, Service.OWN)
    order = take(session, order_request(priced, wanted))
    assert rebuild_line(order.lines[0]) == wanted
    assert set(lines_as_sold(order.lines)) == {wanted}
    change_type(session, FOIL, fill_minor=900)
    changed = change(session, order, order_request(priced, wanted, notes="Two hearts."))
    assert (changed.lines[0].service, changed.lines[0].unit_minor) == ("own", 250)


def test_a_line_that_becomes_a_top_up_is_told_so_in_the_history(session, priced):
    from app.actions.records.history import history_of  # noqa: PLC0415

    order = take(session, order_request(priced, line(priced, FOIL, quantity=1, colours="")))
    change(session, order, order_request(priced, _line(priced, Service.TOP_UP, quantity=1)))
    (changed,) = history_of(session, order)[-1].changes
    assert changed == ["line 1", f"1 × {FOIL}, helium", f"1 × {order.lines[0].title}, helium"]
    assert order.batches == []


@pytest.mark.parametrize("service", [Service.OWN, Service.TOP_UP])
def test_what_has_no_price_is_not_offered(session, priced, service):
    change_type(session, FOIL, fill_minor=None, top_up_minor=None)
    with pytest.raises(Refused) as refusal:
        take(session, order_request(priced, _line(priced, service)))
    assert problems(refusal) == {("what", 0): [NO_SERVICE_PRICE.format(name=FOIL)]}


def test_a_price_of_nothing_is_free(session, priced):
    change_type(session, FOIL, top_up_minor=0)
    assert take(session, order_request(priced, _line(priced, Service.TOP_UP))).total_minor == 0


@pytest.mark.parametrize(
    ("service", "name", "changes", "field", "sentence"),
    [
        (Service.TOP_UP, "11 in latex", {}, "what", NOT_TOPPED_UP.format(material=Material.LATEX)),
        (Service.OWN, "11 in latex", {}, "what", OWN_NOT_FILLED.format(own=OWN, material=Material.LATEX)),
        (Service.OWN, "9 in foil", {}, "gas", TOO_HEAVY_TO_FLOAT.format(name="9 in foil")),
        (Service.TOP_UP, FOIL, {"gas": Gas.AIR}, "gas", OWN_WITHOUT_HELIUM),
        (Service.OWN, FOIL, {"treated": True}, "treated", NOT_TREATED.format(material="foil", treated=TREATED)),
    ],
)
def test_what_cannot_be_filled_or_topped_up_is_refused(session, priced, service, name, changes, field, sentence):
    with pytest.raises(Refused) as refusal:
        take(session, order_request(priced, _line(priced, service, name, **changes)))
    assert problems(refusal) == {(field, 0): [sentence]}


def test_a_design_is_only_sold(session, priced):
    design = bouquet(session, priced)
    from app.actions.records.catalogue import load_catalogue  # noqa: PLC0415

    with pytest.raises(Refused) as refusal:
        take(session, order_request(load_catalogue(session), design_line(design, service=Service.TOP_UP)))
    assert problems(refusal) == {("what", 0): [DESIGN_ONLY_SOLD.format(own=OWN)]}


def test_a_new_shop_offers_both_for_every_film_that_floats(catalogue):
    offered = {
        row.name for row in catalogue.balloon_types.values() if row.fill_minor == 0 and row.top_up_minor == 0
    }
    assert offered == {"18 in foil", "22 in foil", "36 in jumbo foil", "20 in sphere", "22 in sphere"}
