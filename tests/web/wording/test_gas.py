"""Helium in words."""

from datetime import UTC, date, datetime

import pytest
from wtforms.validators import ValidationError

from app.actions.gas.balance import CylinderNow
from app.actions.gas.outlook import GasDay, GasOutlook
from app.craft.gas import PressureReading
from app.quoting.states import CylinderState
from app.store.models import Cylinder
from app.web.formats import Formats
from app.web.forms import read_pressure
from app.web.wording.forms import ENTER_PRESSURE, enter_pressure
from app.web.wording.gas import (
    GasNote,
    describe_outlook,
    describe_purity,
    describe_unread,
    gas_note,
    litres,
    pressure,
    short_date,
    show_cylinder,
)


@pytest.mark.parametrize(
    ("typed", "bar"),
    [
        ("150", 150),
        (" 150 bar", 150),
        ("150,5 bar", 150.5),
        ("2200 psi", 151.7),
        ("2,200 PSI", 151.7),
        ("2 200psig", 151.7),
        ("0", 0),
    ],
)
def test_a_pressure_is_read_in_bar_unless_psi_stands_with_it(typed, bar):
    """1 psi is 6894.757 Pa."""
    assert read_pressure(typed) == pytest.approx(bar, abs=0.05)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("-5", ENTER_PRESSURE),
        ("full", ENTER_PRESSURE),
        ("150 kPa", ENTER_PRESSURE),
        ("2200", enter_pressure(350, "bar", maybe_psi="2200")),
        ("6000 psi", enter_pressure(5000, "psi")),
        ("1.2.3", enter_pressure(350, "bar")),
    ],
)
def test_what_is_no_pressure_has_a_sentence(typed, sentence):
    with pytest.raises(ValidationError) as refusal:
        read_pressure(typed)
    assert str(refusal.value) == sentence


@pytest.fixture
def formats(shop):
    return Formats.of(shop)


def outlook(left, litres=0.0, *, taken=0.0):
    days = (GasDay(date(2026, 11, 21), litres, left),) if litres else ()
    return GasOutlook(left, days, taken)


def test_litres_and_pressures_are_written_for_people(formats):
    assert litres(1240.4, formats) == f"{formats.number(1240)} L"
    assert litres(-12, formats) == "−12 L"
    assert pressure(150, formats) == f"150 bar ({formats.number(2176)} psi)"


def test_a_day_has_its_weekday(formats):
    assert short_date(date(2026, 11, 21), formats) == formats.short_day(datetime(2026, 11, 21, 12, tzinfo=UTC))


def test_helium_that_is_enough_is_said_with_what_is_left(formats):
    assert describe_outlook(outlook(0), formats) == "0 L of helium left. No order needs any."
    enough = f"{litres(1320, formats)} of helium left after all orders."
    assert describe_outlook(outlook(1320, 80), formats) == enough
    assert gas_note(outlook(1320, 80, taken=40), formats) == GasNote(enough, "", is_short=False)


def test_helium_that_runs_out_is_said_with_its_day_and_what_is_short(formats):
    day = short_date(date(2026, 11, 21), formats)
    short = f"The helium runs out on {day}: 40 L short. Order a cylinder."
    assert describe_outlook(outlook(-40, 80), formats) == short
    assert gas_note(outlook(-40, 80, taken=80), formats) == GasNote(short, "40 L helium", is_short=True)


@pytest.mark.parametrize("seen", [None, outlook(-40, 80)])
def test_nothing_is_said_of_helium_where_no_cylinder_was_entered_or_the_order_takes_none(formats, seen):
    assert gas_note(seen, formats) is None


def test_what_a_comparison_waits_for_is_said():
    assert describe_unread(("Ada", "Bo")) == "Read Ada and Bo to compare."


def test_other_gas_says_what_it_does_to_the_hours(shop, formats):
    """FACTS: with helium of 92 % an 11-inch floats about 13.7 h."""
    row = Cylinder(purity_percent=92)
    assert describe_purity(row, shop, formats) == (
        f"92% helium: a balloon of {formats.size(11)} floats about {formats.hours(13.7)}. Float times assume 100%;"
        " change that in Settings."
    )
    assert describe_purity(Cylinder(purity_percent=100), shop, formats) == ""


@pytest.mark.parametrize(
    ("state", "bar", "order_number", "condition", "words"),
    [
        (CylinderState.FULL, 200, None, "full", "full"),
        (CylinderState.FULL, 120, None, "part used", "put away, part used"),
        (CylinderState.IN_USE, 120, None, "in use", "in use"),
        (CylinderState.FULL, 200, 1001, "at venue", "with order 1001"),
    ],
)
def test_a_cylinder_is_shown_with_its_state_and_its_reading(
    shop, formats, state, bar, order_number, condition, words
):
    row = Cylinder(id=1, name="Ada", state=state, full_bar=200, purity_percent=100, water_l=50)
    shown = show_cylinder(CylinderNow(row, order_number, PressureReading(bar), None, 900.0), shop, formats)
    assert (shown.condition, shown.state_word) == (condition, words)
    assert shown.gauge == f"{pressure(bar, formats)} at {formats.temperature(15)}, not read, assumed full"
