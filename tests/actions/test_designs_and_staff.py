"""Designs that are sold and retired, and people who work here."""

import pytest

from app.actions.errors import NotThere, Refused
from app.actions.office import add_staff, retire_design
from tests.actions.builders import MORNING, bouquet, design_line, problems, take, wish


def test_a_design_is_sold_from_now_on(session, goods):
    design = bouquet(session, goods)
    assert take(session, wish(goods, design_line(design))).lines[0].title == "Sea bouquet"


def test_a_design_needs_a_name_of_its_own(session, goods):
    bouquet(session, goods)
    with pytest.raises(Refused) as refusal:
        bouquet(session, goods)
    assert list(problems(refusal)) == ["name"]


def test_a_retired_design_is_not_sold_until_it_is_sold_again(session, goods):
    design = bouquet(session, goods)
    retire_design(session, design.id, MORNING)
    with pytest.raises(Refused):
        take(session, wish(goods, design_line(design)))
    retire_design(session, design.id, None)
    take(session, wish(goods, design_line(design)))


def test_a_design_that_never_was_is_not_retired(session):
    with pytest.raises(NotThere):
        retire_design(session, 999, MORNING)


def test_treatment_of_a_design_without_helium_latex_is_refused(session, goods):
    """Else the caller is told and the ticket says “treated” while nothing is."""
    from app.actions.office import add_design  # noqa: PLC0415
    from app.physics.balloon import Gas  # noqa: PLC0415

    latex = next(kind for kind in goods.kinds.values() if kind.name == "11 in latex")
    column = add_design(session, "Pier column", 6800, 25, [(latex, Gas.AIR, 40, [])])
    with pytest.raises(Refused) as refusal:
        take(session, wish(goods, design_line(column, treated=True)))
    assert list(problems(refusal)) == [("treated", 0)]


@pytest.mark.parametrize("name", ["", "   ", "x" * 41, "Maren"])
def test_a_person_needs_a_name_of_their_own(session, name):
    add_staff(session, " Maren ")
    with pytest.raises(Refused):
        add_staff(session, name)
