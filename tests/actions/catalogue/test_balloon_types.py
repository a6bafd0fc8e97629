"""A kind is added, corrected and archived; what orders and designs hold of it stays."""

from dataclasses import replace

import pytest

from app.actions.catalogue.balloon_types import (
    BalloonTypeFigures,
    add_balloon_type,
    archive_balloon_type,
    change_balloon_type,
    figures_of,
    load_balloon_type,
    weigh_balloon_type,
)
from app.actions.errors import NotFound
from app.actions.orders.cancel import cancel_order
from app.actions.orders.quick_sale import offers
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.shop.office import replan_open_orders
from app.physics.balloon import sphere_litres
from app.quoting.errors import Refused
from app.store.models import BalloonTypeRow
from tests.actions.builders import (
    CALLED_OFF,
    EIGHT,
    MORNING,
    WHO,
    balloon_type_id,
    bouquet,
    change,
    ctx,
    line,
    order_request,
    problems,
    take,
)


def _figures(**changes):
    return BalloonTypeFigures(
        **(
            {"name": "11 in latex", "material": "latex", "nominal_in": 11, "mass_g": 3.0, "price_minor": 110}
            | changes
        )
    )


def test_thicker_rubber_leaks_slower_and_may_be_filled_earlier(session, catalogue, order):
    not_before = order.batches[0].not_before
    change_balloon_type(session, balloon_type_id(catalogue), _figures(mass_g=3.4))
    replan_open_orders(ctx(session, now=EIGHT))
    assert order.batches[0].not_before < not_before


def test_fewer_stated_hours_of_a_foil_make_its_window_shorter(session, catalogue):
    order = take(session, order_request(catalogue, line(catalogue, "18 in foil", quantity=1)))
    not_before = order.batches[0].not_before
    foil = load_balloon_type(session, balloon_type_id(catalogue, "18 in foil"))
    change_balloon_type(session, foil.id, replace(figures_of(foil), median_hours=24.0))
    replan_open_orders(ctx(session, now=EIGHT))
    assert order.batches[0].not_before > not_before


def test_its_price_is_for_new_orders(session, catalogue):
    old = take(session, order_request(catalogue))
    change_balloon_type(session, balloon_type_id(catalogue), _figures(price_minor=200))
    replan_open_orders(ctx(session, now=EIGHT))
    new = take(session, order_request(catalogue), key="key-2")
    assert (old.total_minor, new.total_minor) == (24 * 110, 24 * 200)


@pytest.mark.parametrize(
    "changes",
    [
        {"mass_g": 0.0},
        {"mass_g": -1.0},
        {"size_factor": 0.0},
        {"rated_in": 0.0},
        {"nominal_in": -11},
        {"pack_size": 0},
    ],
)
def test_figures_that_make_no_balloon_are_refused(session, catalogue, changes):
    with pytest.raises(Refused) as refusal:
        change_balloon_type(session, balloon_type_id(catalogue), _figures(**changes))
    assert list(problems(refusal)) == list(changes)
    session.expire_all()
    assert catalogue.balloon_types[balloon_type_id(catalogue)].balloon_type.mass_g == 3.0


def test_a_foil_for_helium_needs_its_litres_and_hours(session, catalogue):
    foil = load_balloon_type(session, balloon_type_id(catalogue, "18 in foil"))
    with pytest.raises(Refused) as refusal:
        change_balloon_type(session, foil.id, replace(figures_of(foil), helium_l=None, median_hours=None))
    assert list(problems(refusal)) == ["helium_l", "median_hours"]


def test_a_type_that_never_was_is_not_changed(session):
    with pytest.raises(NotFound):
        change_balloon_type(session, 999, _figures())


def test_a_new_type_is_sold_from_now_on(session, catalogue):
    row = add_balloon_type(session, _figures(name=" 13 in  heart latex ", shape="heart", nominal_in=13, mass_g=3.6))
    assert row.name == "13 in heart latex"
    order = take(
        session, order_request(load_catalogue(session), line(load_catalogue(session), row.name, quantity=3))
    )
    assert order.batches[0].fill_size_in == 13


@pytest.mark.parametrize("name", ["", "  ", "x" * 61, "18 IN  foil"])
def test_a_type_needs_a_name_of_its_own(session, catalogue, name):
    first = balloon_type_id(catalogue)
    for keep in (
        lambda: add_balloon_type(session, _figures(name=name)),
        lambda: change_balloon_type(session, first, _figures(name=name)),
    ):
        with pytest.raises(Refused) as refusal:
            keep()
        assert list(problems(refusal)) == ["name"]


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"material": "paper"}, "material"),
        ({"shape": "cube"}, "shape"),
        ({"price_minor": -1}, "price_minor"),
        ({"pack_minor": -1}, "pack_minor"),
    ],
)
def test_a_new_type_that_cannot_be_is_refused(session, changes, field):
    with pytest.raises(Refused) as refusal:
        add_balloon_type(session, _figures(name="new", **changes))
    assert field in problems(refusal)
    assert session.query(BalloonTypeRow).filter_by(name="new").count() == 0


def test_what_it_is_made_for_is_what_it_is_filled_to(session, catalogue):
    """An 11-inch made for 12: the litres are those of a 12-inch sphere (geometry)."""
    row = change_balloon_type(session, balloon_type_id(catalogue), _figures(rated_in=12.0))
    assert row.balloon_type.full_litres == sphere_litres(12)
    assert take(session, order_request(load_catalogue(session))).batches[0].fill_size_in == 12


def test_what_a_material_does_not_have_is_not_saved(session, catalogue):
    latex = change_balloon_type(
        session, balloon_type_id(catalogue), _figures(helium_l=14.0, median_hours=9.0, fill_minor=100)
    )
    assert (latex.helium_l, latex.median_hours, latex.fill_minor) == (None, None, None)
    foil = load_balloon_type(session, balloon_type_id(catalogue, "18 in foil"))
    change_balloon_type(session, foil.id, replace(figures_of(foil), rated_in=17.0, air_only=True))
    assert (foil.rated_in, foil.fill_minor, foil.top_up_minor) == (None, None, None)


def test_only_what_can_be_treated_keeps_a_treated_price(session, catalogue):
    latex = change_balloon_type(session, balloon_type_id(catalogue), _figures(treated_minor=300))
    assert (latex.treated_minor, load_catalogue(session).balloon_types[latex.id].treated_minor) == (300, 300)
    assert change_balloon_type(session, latex.id, _figures(treated_minor=300, air_only=True)).treated_minor is None
    foil = load_balloon_type(session, balloon_type_id(catalogue, "18 in foil"))
    assert change_balloon_type(session, foil.id, replace(figures_of(foil), treated_minor=300)).treated_minor is None


@pytest.mark.parametrize(("treated", "is_refused"), [(109, True), (110, False), (-1, True)])
def test_a_treated_balloon_costs_no_less_than_one_that_is_not(session, catalogue, treated, is_refused):
    figures = _figures(price_minor=110, treated_minor=treated)
    if not is_refused:
        assert change_balloon_type(session, balloon_type_id(catalogue), figures).treated_minor == treated
        return
    with pytest.raises(Refused) as refusal:
        change_balloon_type(session, balloon_type_id(catalogue), figures)
    assert list(problems(refusal)) == ["treated_minor"]


FOIL = {"material": "foil", "helium_l": 14.0, "median_hours": 200.0}


def _only_at(refusal, field, holder):
    """Whether one field alone is refused, with a sentence that names the order or design that uses the type."""
    found = problems(refusal)
    return list(found) == [field] and str(holder) in found[field][0]


@pytest.mark.parametrize("cancelled", [False, True])
def test_an_order_that_may_still_be_filled_holds_the_material(session, catalogue, cancelled, order):
    """A cancelled one may be opened again."""
    if cancelled:
        cancel_order(ctx(session, who=WHO, now=MORNING), order.number, order.version, CALLED_OFF)
    with pytest.raises(Refused) as refusal:
        change_balloon_type(session, balloon_type_id(catalogue), _figures(**FOIL))
    assert _only_at(refusal, "material", order.number)


def test_an_order_that_left_holds_no_material(session, catalogue):
    take(session, order_request(catalogue)).state = "handed over"
    session.flush()
    assert change_balloon_type(session, balloon_type_id(catalogue), _figures(**FOIL)).material == "foil"


def test_in_a_design_it_is_held_too(session, catalogue):
    """Its design is ordered, so the kind stands in the batches only."""
    order = take(
        session,
        order_request(
            catalogue, line(catalogue, balloon_type_id=None, design_id=bouquet(session, catalogue).id, quantity=1)
        ),
    )
    with pytest.raises(Refused) as refusal:
        change_balloon_type(session, balloon_type_id(catalogue), _figures(**FOIL))
    assert _only_at(refusal, "material", order.number)


def test_what_an_order_has_with_helium_cannot_become_air_only(session, catalogue, order):
    with pytest.raises(Refused) as refusal:
        change_balloon_type(session, balloon_type_id(catalogue), _figures(air_only=True))
    assert _only_at(refusal, "air_only", order.number)


def test_what_a_design_has_with_helium_cannot_become_air_only(session, catalogue):
    bouquet(session, catalogue)
    with pytest.raises(Refused) as refusal:
        change_balloon_type(session, balloon_type_id(catalogue), _figures(air_only=True))
    assert _only_at(refusal, "air_only", "Sea bouquet")


def test_weighed_all_else_stays(session, catalogue):
    before = figures_of(load_balloon_type(session, balloon_type_id(catalogue, "18 in foil")))
    after = figures_of(weigh_balloon_type(session, balloon_type_id(catalogue, "18 in foil"), 9.5))
    assert after == replace(before, mass_g=9.5)


def test_an_archived_type_is_sold_no_more_until_it_is_offered_again(session, catalogue):
    archive_balloon_type(session, balloon_type_id(catalogue), MORNING)
    with pytest.raises(Refused) as refusal:
        take(session, order_request(catalogue))
    assert list(problems(refusal)) == [("what", 0)]
    assert "11 in latex" not in {
        offer.balloon_type.name for offer in offers(load_shop(session), load_catalogue(session))
    }
    archive_balloon_type(session, balloon_type_id(catalogue), None)
    take(session, order_request(catalogue))


def test_an_order_keeps_its_archived_type(session, catalogue, order):
    archive_balloon_type(session, balloon_type_id(catalogue), MORNING)
    changed = change(session, order, order_request(catalogue, notes="Blue door."))
    assert [part.title for part in changed.lines] == ["11 in latex"]
    assert replan_open_orders(ctx(session, now=EIGHT)) == []


def test_a_design_keeps_its_archived_type(session, catalogue):
    design = bouquet(session, catalogue)
    archive_balloon_type(session, balloon_type_id(catalogue), MORNING)
    order = take(
        session, order_request(catalogue, line(catalogue, balloon_type_id=None, design_id=design.id, quantity=1))
    )
    assert {batch.balloon_type_name for batch in order.batches} == {"11 in latex", "18 in foil"}


def test_a_type_that_never_was_is_not_archived(session):
    with pytest.raises(NotFound):
        archive_balloon_type(session, 999, MORNING)
