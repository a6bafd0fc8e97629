"""The order in which a batch is filled. Each check: common practice, no source, unless it says otherwise."""

import pytest

from app.craft.fill_steps import FillAct, FillTask, fill_steps
from app.physics.balloon import Gas
from app.physics.material import Material


def _acts(material=Material.LATEX, gas=Gas.HELIUM, count=24, size_in=11.0, **more):
    return [step.act for step in fill_steps(FillTask(material, gas, count, size_in, **more))]


SIZED = [FillAct.SET_SIZER, FillAct.FILL_OVER, FillAct.PASS_SIZER]


@pytest.mark.parametrize("gas", Gas)
def test_latex_is_filled_over_and_let_down_through_the_sizer(gas):
    """One setting for all; a little over, then out until it just passes; air as well."""
    steps = fill_steps(FillTask(Material.LATEX, gas, 24, 9.25))
    assert [step.act for step in steps] == [*SIZED, FillAct.KNOT]
    assert [step.size_in for step in steps if step.size_in] == [9.25]


@pytest.mark.parametrize("material", [Material.FOIL, Material.SPHERE])
@pytest.mark.parametrize("gas", Gas)
def test_foil_and_sphere_go_through_no_sizer(material, gas):
    steps = fill_steps(FillTask(material, gas, 3, 18.0, share=0.93))
    assert [step.act for step in steps] == [FillAct.FILL_TAUT, FillAct.SEAL]
    assert (steps[0].share, steps[0].size_in) == (0.93, 0.0)


def test_treated_latex_is_coated_first_and_dries_last():
    """Two hours in the shop before it is bagged: from memory, a setting."""
    steps = fill_steps(FillTask(Material.LATEX, Gas.HELIUM, 24, 11.0, treated=True, drying_minutes=120))
    assert [step.act for step in steps] == [FillAct.TREAT, *SIZED, FillAct.KNOT, FillAct.DRY]
    assert steps[-1].minutes == 120


def test_what_is_tied_in_pairs_gets_no_knot_of_its_own():
    assert _acts(gas=Gas.AIR, count=40, paired=40) == [*SIZED, FillAct.PAIR]
    knot, pair = fill_steps(FillTask(Material.LATEX, Gas.AIR, 44, 9.25, paired=40))[-2:]
    assert (knot.act, knot.count, pair.act, pair.count) == (FillAct.KNOT, 4, FillAct.PAIR, 40)


def test_what_is_stuffed_is_never_sized():
    assert _acts(gas=Gas.AIR, count=2, stuffed=2) == [FillAct.IN_MACHINE]
    machine, *rest = fill_steps(FillTask(Material.SPHERE, Gas.HELIUM, 3, 20.0, stuffed=1))
    assert (machine.act, machine.count) == (FillAct.IN_MACHINE, 1)
    assert [(step.act, step.count) for step in rest] == [(FillAct.FILL_TAUT, 0), (FillAct.SEAL, 2)]
