"""The form toolkit: hours, numbers and amounts as people write them, their fields, and what is wrong in a form."""

from dataclasses import replace
from datetime import UTC, date, datetime, time
from itertools import product
from types import SimpleNamespace
from typing import ClassVar
from zoneinfo import ZoneInfo

import pytest
from flask import g
from werkzeug.datastructures import MultiDict
from wtforms import FieldList, FormField, HiddenField
from wtforms.validators import ValidationError

from app.craft.gas import BAR_PER_PSI
from app.quoting.errors import Problem
from app.quoting.settings.all_settings import LOCALES
from app.web.formats import Formats
from app.web.forms import (
    DayField,
    FormGroup,
    MomentForm,
    MoneyField,
    NumberField,
    ParsedField,
    RadioChoiceField,
    ShopForm,
    ShownProblem,
    StrictChoiceField,
    TemperatureField,
    TextField,
    TimeRangeForm,
    WholeField,
    choices_of,
    max_length,
    read_hour,
    read_money,
    read_number,
    read_pressure,
    read_whole,
    read_wind,
)
from app.web.forms.separators import AmbiguousNumber, plain_number
from app.web.measures import OTHER_UNITS, ShownUnit
from app.web.wording.forms import (
    CHOOSE_DATE,
    choose_from,
    enter_amount,
    enter_number,
    enter_whole,
    enter_wind,
    enter_without_separators,
    shorten_to,
)


@pytest.mark.parametrize(
    ("typed", "hour"),
    [
        ("18:30", (18, 30)), ("1830", (18, 30)), ("18.30", (18, 30)), ("18h30", (18, 30)), ("18", (18, 0)),
        ("8", (8, 0)),
        ("6:30 pm", (18, 30)), ("6.30PM", (18, 30)), ("6 p.m.", (18, 0)), ("12 am", (0, 0)), ("12 pm", (12, 0)),
        ("noon", (12, 0)), ("Midnight", (24, 0)), ("24:00", (24, 0)), ("0", (0, 0)), (" 7:05 ", (7, 5)),
    ],
)  # fmt: skip
def test_an_hour_is_read(typed, hour):
    assert read_hour(typed) == hour


@pytest.mark.parametrize(
    "typed", ["", "25", "24:01", "18:60", "13 pm", "0 pm", "6:3", "half six", "-1", "1:2:3", "99999", "６時"]
)
def test_what_is_no_hour_is_none(typed):
    assert read_hour(typed) is None


@pytest.mark.parametrize(("typed", "number"), [("20", 20.0), ("-3.5", -3.5), ("−3,5", -3.5), ("20 °C", 20.0)])
def test_a_number_is_read(typed, number):
    assert read_number(typed, -20, 50, "°C") == number


@pytest.mark.parametrize("typed", ["", "warm", "nan", "inf", "-inf", "51", "-20.01", "1e999", "20 °F"])
def test_a_number_out_of_range_or_none_has_a_sentence_with_the_range(typed):
    with pytest.raises(ValidationError) as refusal:
        read_number(typed, -20, 50, "°C")
    assert str(refusal.value) == enter_number(-20, 50, "°C")


@pytest.mark.parametrize(
    ("typed", "m_s"),
    [("5", 5.0), ("5,5 m/s", 5.5), ("18 km/h", 5.0), ("12 mph", 5.4), ("12MPH", 5.4), ("10 kn", 5.1),
     ("10 knots", 5.1), ("20 kmh", 5.6), ("20kph", 5.6), ("15 kt", 7.7), ("15 KTS", 7.7),
     ("0", 0.0), ("40", 40.0), ("144 km/h", 40.0)],
)  # fmt: skip
def test_a_wind_is_read_in_the_unit_that_is_written_with_it(typed, m_s):
    """Source: the mile is 1609.344 m, the nautical mile 1852 m, both exact by definition."""
    assert read_wind(typed) == m_s


@pytest.mark.parametrize(
    ("typed", "strongest", "unit"),
    [("", 40, "m/s"), ("calm", 40, "m/s"), ("-1", 40, "m/s"), ("40.1", 40, "m/s"), ("nan", 40, "m/s"),
     ("5 m/s m/s", 40, "m/s"), ("145 km/h", 144, "km/h"), ("90 mph", 89, "mph"), ("mph", 89, "mph")],
)  # fmt: skip
def test_what_is_no_wind_has_a_sentence_with_the_range(typed, strongest, unit):
    with pytest.raises(ValidationError) as refusal:
        read_wind(typed)
    assert str(refusal.value) == enter_wind(strongest, unit)


@pytest.mark.parametrize("typed", ["3 bft", "4 bft", "4bft", "4 Beaufort", "force 4"])
def test_beaufort_has_a_sentence_of_its_own(typed):
    with pytest.raises(ValidationError) as refusal:
        read_wind(typed)
    assert str(refusal.value) == enter_wind(40, "m/s", is_beaufort=True)


@pytest.mark.parametrize(("typed", "number"), [("12", 12), (" 1 200 ", 1200), ("007", 7)])
def test_a_whole_number_is_read(typed, number):
    assert read_whole(typed, 1, 5000) == number


@pytest.mark.parametrize("typed", ["", "0", "-1", "1.5", "5001", "1e3", "dozen", "1_000", "9" * 5000])
def test_what_is_no_whole_number_in_range_has_a_sentence(typed):
    with pytest.raises(ValidationError) as refusal:
        read_whole(typed, 1, 5000)
    assert str(refusal.value) == enter_whole(1, 5000)


@pytest.mark.parametrize(
    ("typed", "decimals", "minor"),
    [("4.50", 2, 450), ("4,5", 2, 450), ("4", 2, 400), ("450", 0, 450), ("0.125", 3, 125)],
)
def test_an_amount_is_read_to_the_minor_unit(typed, decimals, minor):
    assert read_money(typed, decimals) == minor


@pytest.mark.parametrize(
    ("typed", "decimals"),
    [("", 2), ("-1", 2), ("4.505", 2), ("4.5", 0), ("free", 2), ("1e3", 2), ("12345678", 2), ("Infinity", 2)],
)
def test_what_is_no_amount_has_a_sentence(typed, decimals):
    with pytest.raises(ValidationError) as refusal:
        read_money(typed, decimals)
    assert str(refusal.value) == enter_amount(decimals)


PLAIN = Formats(ZoneInfo("Europe/London"), False, False, False, "£", 2)
SEPARATED = [
    (".", "1,500", "1500"), (".", "12,500.50", "12500.50"), (".", "-1,500", "-1500"), (".", "1,234,567", "1234567"),
    (".", "12,5", "12.5"), (".", "12,", "12."), (".", "0,125", "0.125"), (".", ",125", ".125"), (".", "1.5", "1.5"),
    (",", "1.500", "1500"), (",", "1.500,50", "1500.50"), (",", "−1.234.567", "-1234567"), (",", "12,5", "12.5"),
    (",", "12.5", "12.5"), (",", "0.125", "0.125"), (",", "1,500", "1.500"), (",", "1500,250", "1500.250"),
    (".", "1 500", "1500"), (",", "1\u202f500,5", "1500.5"), (",", "1\u00a0500", "1500"), (".", "1’500", "1500"),
    (".", "12,34,567", "1234567"), (".", "1.2.3", "1.2.3"), (".", "dozen", "dozen"), (".", "1e3", "1e3"),
    (".", "1,5,0", "1,5,0"), (".", "", ""), (".", ".", "."), (".", "1 50", "1 50"),
]  # fmt: skip


@pytest.mark.parametrize(("mark", "typed", "plain"), SEPARATED)
def test_three_digits_after_the_other_mark_are_thousands(mark, typed, plain):
    """Common practice of the locales' countries; the groups of two are India's (Unicode CLDR, en_IN)."""
    assert plain_number(typed, mark) == plain


@pytest.mark.parametrize(
    ("mark", "typed"),
    [(".", "1500,250"), (".", "1.500,50"), (".", "1,500,5.5"), (".", "1,50.25"), (".", "01,500"), (".", "1,5.000"),
     (",", "1500.250"), (",", "1,500.50"), (",", "00.125")],
)  # fmt: skip
def test_a_number_that_can_be_read_in_two_ways_is_refused_with_how_to_type_it(mark, typed):
    with pytest.raises(AmbiguousNumber) as refusal:
        plain_number(typed, mark)
    assert str(refusal.value) == enter_without_separators(mark)


READERS = [
    (lambda text: read_number(text, 0, 1e6, "g"), 1500.0),
    (lambda text: read_whole(text, 0, 5000), 1500),
    (lambda text: read_money(text, 2), 150_000),
    (lambda text: read_pressure(f"{text} psi"), pytest.approx(1500 * BAR_PER_PSI)),
]


@pytest.mark.parametrize(("read", "value"), READERS)
@pytest.mark.parametrize(("mark", "typed", "ambiguous"), [(".", "1,500", "1500,250"), (",", "1.500", "1500.250")])
def test_every_reader_goes_by_the_shops_mark(formats, read, value, mark, typed, ambiguous):
    formats.decimal_mark = mark
    assert read(typed) == value
    with pytest.raises(AmbiguousNumber):
        read(ambiguous)


def test_a_number_that_can_be_read_in_two_ways_says_so_even_where_a_field_has_a_sentence_of_its_own(formats):
    form, sound = _goods(grams="1500,250", number="1500,250", way="back")
    assert not sound
    assert [(one.target, one.sentence) for one in form.problems] == [
        ("grams", enter_without_separators(".")),
        ("number", enter_without_separators(".")),
    ]


@pytest.fixture
def formats(app):
    """What fields ask of the shop in a request: two decimals and °F."""
    shown = SimpleNamespace(
        decimals=2,
        currency="£",
        decimal_mark=".",
        number=lambda value, _digits: f"{value:g}",
        unit=lambda kept: OTHER_UNITS[kept],
        units=lambda kept: (OTHER_UNITS[kept], ShownUnit(kept)),
        locale="en_GB",
        zone=ZoneInfo("Europe/London"),
    )
    with app.test_request_context():
        g.request_context = SimpleNamespace(formats=shown, now=datetime(2026, 11, 20, 9, tzinfo=UTC))
        yield shown
        g.pop("request_context")


class RowForm(ShopForm):
    name = TextField("Name")
    count = WholeField("How many", 1, 9)


class GoodsForm(ShopForm):
    field_names: ClassVar = {"price_minor": "price"}

    client_key = HiddenField()
    name = TextField("Name", [max_length(10)])
    sort = StrictChoiceField("Sort", choices=choices_of({"a": "Latex", "b": "Foil"}))
    way = RadioChoiceField("Way", choices=choices_of(["in", "back"]), default="in")
    grams = NumberField("Grams", 0.5, 50, "g")
    packs = WholeField("Packs", 1, 9, optional=True)
    spares = WholeField("Spares", 0, 9, empty=0)
    price = MoneyField("Price", optional=True)
    came_on = DayField("Came on")
    warmth = TemperatureField("Warmth", -20, 50, optional=True)
    number = ParsedField("Number", lambda text: int(plain_number(text, ".")), error_sentence="Enter digits.")
    rows = FieldList(FormField(RowForm), "Row", min_entries=2)

    def uses_field(self, name):
        return name != "number" or self.way.data == "back"


GOOD = {
    **{"name": "  Red   L ", "sort": "b", "grams": "2,5", "price": "4.50", "came_on": "2026-11-20", "warmth": "68"},
    **{"rows-0-count": "1", "rows-1-count": "9"},
}


def _goods(**changes):
    form = GoodsForm(MultiDict(GOOD | {name.replace("__", "-"): text for name, text in changes.items()}))
    return form, form.validate()


def test_what_was_typed_becomes_values_and_stays_as_it_was_typed(formats):
    form, sound = _goods()
    assert sound
    assert (form.name.value, form.grams.value, form.price.value) == ("Red L", 2.5, 450)
    assert (form.came_on.value, form.warmth.value) == (date(2026, 11, 20), pytest.approx(20))
    assert (form.packs.value_or_none, form.spares.value) == (None, 0)
    assert (form.name.data, form.grams.data) == ("  Red   L ", "2,5")
    assert (form.problems, form.focus_target) == ([], "")


@pytest.mark.parametrize(
    ("changes", "label", "sentence", "target"),
    [
        ({"name": "x" * 11}, "Name", shorten_to(10, 11), "name"),
        ({"sort": "c"}, "Sort", choose_from(["Latex", "Foil"]), "sort"),
        ({"way": "up"}, "Way", choose_from(["in", "back"]), "way-in"),
        ({"grams": "heavy"}, "Grams", enter_number(0.5, 50, "g"), "grams"),
        ({"grams": ""}, "Grams", enter_number(0.5, 50, "g"), "grams"),
        ({"packs": "0"}, "Packs", enter_whole(1, 9), "packs"),
        ({"came_on": ""}, "Came on", CHOOSE_DATE, "came_on"),
        ({"warmth": "200"}, "Warmth", enter_number(-4, 122, "°F"), "warmth"),
        ({"way": "back", "number": "x"}, "Number", "Enter digits.", "number"),
        ({"rows__1__count": "10"}, "Row 2, how many", enter_whole(1, 9), "rows-1-count"),
    ],
)
def test_what_is_wrong_has_one_sentence_with_its_label_and_its_field(formats, changes, label, sentence, target):
    form, sound = _goods(**changes)
    assert not sound
    assert form.problems == [ShownProblem(label, sentence, target)]
    assert form.focus_target == target


def test_a_field_without_a_value_says_so_to_the_programmer(formats):
    form, _ = _goods(grams="heavy")
    assert form.grams.value_or_none is None
    with pytest.raises(ValueError, match="grams has no value"):
        _ = form.grams.value


def test_what_is_not_asked_for_is_not_read(formats):
    form, sound = _goods(number="x")
    assert sound
    assert form.number.value_or_none is None


def test_what_an_action_refuses_stands_at_its_field_or_else_at_the_form(formats):
    form, _ = _goods()
    form.add_problems(
        [Problem("price_minor", "Too much."), Problem("client_key", "No key."), Problem("bench", "No room.")]
    )
    assert form.problems == [
        ShownProblem("", "No room.", ""),
        ShownProblem("Client Key", "No key.", ""),
        ShownProblem("Price", "Too much.", "price"),
    ]
    assert form.focus_target == "price"


def test_what_stands_at_fields_that_are_not_shown_stands_at_the_form(formats):
    form, _ = _goods(grams="heavy")
    form.move_errors_to_form()
    assert [(problem.label, problem.target) for problem in form.problems] == [("", "")]


def test_equal_forms_on_one_page_have_names_and_ids_of_their_own():
    sent = MultiDict({"name-7": "Red", "count-7": "3", "name-8": "White", "count-8": "x"})
    forms = FormGroup((label, RowForm(sent, suffix=at)) for label, at in (("Red", 7), ("White", 8)))
    assert not forms.validate()
    assert [form.name.data for _, form in forms.forms] == ["Red", "White"]
    assert [(one.label, one.target) for one in forms.problems] == [("White", "count-8")]
    assert forms.focus_target == "count-8"
    one = RowForm(MultiDict({"count": "x"}), id_suffix=7)
    assert (one.count.name, one.count.id, one.count.label.field_id) == ("count", "count-7", "count-7")


@pytest.mark.parametrize(
    ("first", "last", "minutes", "wrong"),
    [
        ("8", "6:30 pm", (480, 1110), ""),
        ("0", "24:00", (0, 1440), ""),
        ("00:00", "00:00", (0, 1440), ""),
        ("midnight", "6 am", (0, 360), ""),
        ("18:00", "2:00", (1080, 1560), ""),
        ("6 pm", "midnight", (1080, 1440), ""),
        ("8", "8", (480, 1920), ""),
        ("", "", None, ""),
        ("early", "18", None, "first"),
        ("8", "", None, "last"),
    ],
)
def test_two_hours_are_read_over_midnight_too_and_the_wrong_one_has_the_sentence(first, last, minutes, wrong):
    span = TimeRangeForm(MultiDict({"first": first, "last": last}))
    assert span.validate() is not bool(wrong)
    assert (span.minutes, span.focus_target) == (minutes, wrong)


def test_hours_are_filled_in_as_they_are_typed():
    span = TimeRangeForm()
    span.fill_in((time(8), time(18, 30)), PLAIN)
    assert (span.first.data, span.last.data) == ("08:00", "18:30")
    span.fill_in((time(8), time(18, 30)), replace(PLAIN, twelve_hours=True))
    assert (span.first.data, span.last.data) == ("8:00 am", "6:30 pm")


@pytest.mark.parametrize("code", LOCALES)
def test_a_time_is_read_as_it_is_shown_in_its_field(code):
    times = (time(0), time(0, 5), time(8), time(12), time(14, 30), time(23, 59))
    for twelve_hours, at in product((False, True), times):
        shown = replace(PLAIN, locale=code, twelve_hours=twelve_hours).time_of_day(at)
        assert read_hour(shown) == (at.hour, at.minute), shown


@pytest.mark.parametrize(
    ("day", "hour", "wrong"),
    [("", "18", ["day"]), ("soon", "18", ["day"]), ("1226-11-20", "18", ["day"]), ("2026-11-20", "", ["hour"]),
     ("x", "y", ["day", "hour"])],
)  # fmt: skip
def test_a_moment_that_cannot_be_read_has_its_sentence_at_day_or_hour(formats, day, hour, wrong):
    moment = MomentForm(MultiDict({"day": day, "hour": hour}))
    assert moment.read(formats) is None
    assert [problem.target for problem in moment.problems] == wrong
