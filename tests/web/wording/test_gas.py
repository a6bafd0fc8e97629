"""Helium in words."""

import pytest
from wtforms.validators import ValidationError

from app.web.forms import read_pressure
from app.web.wording.forms import ENTER_PRESSURE, enter_pressure
from app.web.wording.gas import litres, pressure


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


def test_litres_and_pressures_are_told_for_people():
    assert litres(1240.4) == "1,240 L"
    assert litres(-12) == "−12 L"
    assert pressure(150) == "150 bar (2,176 psi)"
