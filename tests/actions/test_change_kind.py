"""A kind corrected by weighing."""

import pytest

from app.actions.errors import NotThere, Refused
from app.actions.office import KindFigures, change_kind, replan_open_orders
from tests.actions.builders import EIGHT, kind_id, line, problems, take, wish


def _figures(**changes):
    return KindFigures(
        **(
            {"mass_g": 3.0, "helium_l": None, "median_hours": None, "size_factor": 1.0, "price_minor": 110}
            | changes
        )
    )


def test_thicker_rubber_leaks_slower_and_may_be_filled_earlier(session, goods):
    order = take(session, wish(goods))
    not_before = order.batches[0].not_before
    change_kind(session, kind_id(goods), _figures(mass_g=3.4))
    replan_open_orders(session, EIGHT)
    assert order.batches[0].not_before < not_before


def test_fewer_stated_hours_of_a_foil_make_its_window_shorter(session, goods):
    order = take(session, wish(goods, line(goods, "18 in foil", quantity=1)))
    not_before = order.batches[0].not_before
    foil = goods.kinds[kind_id(goods, "18 in foil")]
    change_kind(session, foil.id, _figures(mass_g=10.0, helium_l=14.0, median_hours=24.0, price_minor=1))
    replan_open_orders(session, EIGHT)
    assert order.batches[0].not_before > not_before


def test_its_price_is_for_new_orders(session, goods):
    old = take(session, wish(goods))
    change_kind(session, kind_id(goods), _figures(price_minor=200))
    replan_open_orders(session, EIGHT)
    new = take(session, wish(goods), key="key-2")
    assert (old.total_minor, new.total_minor) == (24 * 110, 24 * 200)


@pytest.mark.parametrize("changes", [{"mass_g": 0.0}, {"mass_g": -1.0}, {"size_factor": 0.0}])
def test_figures_that_make_no_balloon_are_refused(session, goods, changes):
    with pytest.raises(Refused) as refusal:
        change_kind(session, kind_id(goods), _figures(**changes))
    assert "above 0" in problems(refusal)["mass_g"][0]
    session.expire_all()
    assert goods.kinds[kind_id(goods)].mass_g == 3.0


def test_a_foil_for_helium_needs_its_litres_and_hours(session, goods):
    with pytest.raises(Refused) as refusal:
        change_kind(session, kind_id(goods, "18 in foil"), _figures(mass_g=10.0))
    assert "litres and its hours" in problems(refusal)["mass_g"][0]


def test_a_kind_that_never_was_is_not_changed(session):
    with pytest.raises(NotThere):
        change_kind(session, 999, _figures())
