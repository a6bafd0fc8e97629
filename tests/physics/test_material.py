"""A material stands in one place: its entry, its words, and nobody else who decides by its name."""

import re
from dataclasses import fields, replace
from pathlib import Path

import pytest

from app.craft.gas import gas_litres
from app.craft.sizing import AirSizes, fill_size
from app.craft.stuffed import Filler, Stuffing, StuffingDefaults, reasons_not_to_make
from app.physics.air import Air
from app.physics.balloon import BalloonType, Gas, sphere_diameter_in
from app.physics.endurance import _LEAKS, Filling, FloatDefaults, endurance, filling_loss_rate
from app.physics.light import LightLimits, Surroundings, light_rate
from app.physics.material import TRAITS, Leak, Material, Tip, Traits, materials_that
from app.physics.wind import wind_width_in
from app.planning.work import STUFFING, WorkTimes, fill_seconds, filling_point, seconds_per_balloon
from app.planning.work_times import WorkFigure, figure_of
from app.store.models import BalloonTypeRow
from app.web.wording.materials import AIR_TIP, MATERIAL_WORDS, TIP_WORDS, nozzle_name
from tests.made_up_material import add_material

ROOT = Path(__file__).resolve().parents[2]
SHOP, HOT = Air(20.0), Air(35.0)

WHO_CAN = {
    "stretches": {"latex"},
    "ages_in_light": {"latex"},
    "is_tied": {"latex"},
    "can_be_treated": {"latex"},
    "bursts_in_filling": {"latex"},
    "takes_own": {"foil", "sphere"},
    "can_be_topped_up": {"foil", "sphere"},
    "can_be_stuffed": {"latex", "sphere"},
    "stuffed_with_air_only": {"latex"},
    "holds_water": {"latex"},
    "is_topper": {"foil", "sphere"},
    "comes_as_figures": {"foil"},
    "ages_in_stock": {"latex"},
    "contains_latex": {"latex"},
    "conducts_electricity": {"foil"},
    "offered_instead": {"foil", "sphere"},
}
"""Common practice, no source."""

ALLOWED = {
    "app/physics/material.py": "the enum and its table",
    "app/web/wording/materials.py": "the table of words",
    "app/actions/shop/new_shop.py": "the balloon types that a new shop starts with",
    "app/templates/help/_words.html": "the list of words, each with what it means",
}
"""Files that may name a material, and why. The search passes over prose and the names of balloon types: they decide
nothing."""

NAMED = re.compile(r"""(["'])(?i:latex|foils?|spheres?)\1|\bMaterial\.[A-Z]+\b""")


@pytest.mark.parametrize("material", Material)
def test_every_material_has_its_entry_its_physics_and_its_words(material):
    traits = material.traits
    assert traits.leak in _LEAKS
    assert traits.measures <= {field.name for field in fields(BalloonType)}
    assert traits.measures >= set(traits.helium_measures)
    assert MATERIAL_WORDS[material].heading
    assert MATERIAL_WORDS[material].fill_instruction
    assert bool(MATERIAL_WORDS[material].substitute_note) == traits.offered_instead
    assert nozzle_name(material, Gas.HELIUM) == TIP_WORDS[traits.tip]
    assert nozzle_name(material, Gas.AIR) == AIR_TIP


def test_the_tables_have_every_member_and_no_other():
    assert list(TRAITS) == list(MATERIAL_WORDS) == list(Material)
    assert set(TIP_WORDS) == set(Tip)
    assert set(_LEAKS) == set(Leak)


def test_what_each_can_do():
    foil = Material.FOIL.traits
    switches = {field.name for field in fields(Traits) if isinstance(getattr(foil, field.name), bool)}
    assert {name: {one for one in Material if getattr(one.traits, name)} for name in switches} == WHO_CAN
    assert {one for one in Material if one.traits.hours_are_computed} == {"latex"}
    assert {one: one.traits.overpressure_pa for one in Material} == {"latex": 3500.0, "foil": 0.0, "sphere": 0.0}


@pytest.mark.parametrize(
    ("material", "air_only", "stuffed", "holds"),
    [
        (Material.LATEX, True, True, True),
        (Material.LATEX, False, False, False),
        (Material.FOIL, True, False, False),
        (Material.FOIL, False, False, False),
        (Material.SPHERE, True, False, True),
        (Material.SPHERE, False, False, True),
    ],
)
def test_what_is_stuffed(material, air_only, stuffed, holds):
    assert material.traits.is_stuffed(air_only=air_only) is stuffed
    assert material.traits.can_hold_items(air_only=air_only) is holds


def test_the_store_takes_every_material_and_no_other():
    said = next(
        str(one.sqltext) for one in BalloonTypeRow.__table__.constraints if one.name == "ck_balloon_type_material"
    )
    assert re.findall(r"'(\w+)'", said) == [*Material]


def _namings():
    """(file, line, what) of every material that the app names."""
    for path in sorted(path for room in ("app", "static") for path in (ROOT / room).rglob("*")):
        if path.suffix in {".py", ".html", ".js", ".css"} and "vendor" not in path.parts:
            for number, text in enumerate(path.read_text().splitlines(), 1):
                for found in NAMED.finditer(text):
                    yield str(path.relative_to(ROOT)), number, found.group()


def test_nobody_else_decides_by_the_name_of_a_material():
    assert [one for one in _namings() if one[0] not in ALLOWED] == []


def test_every_exception_is_needed():
    assert {file for file, _, _ in _namings()} == set(ALLOWED)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ('if row.material == "latex":', True),
        ("material IN ('latex', 'foil')", True),
        ("{% elif row.material == 'sphere' %}", True),
        ("Material.FOIL: 2", True),
        ('GROUPS = ("Spheres",)', True),
        ('wanted = "11 in latex"', False),
        ("from app.physics.material import Material", False),
        ("materials = {material: 1 for material in Material}", False),
    ],
)
def test_the_search_finds_what_decides(text, found):
    assert bool(NAMED.search(text)) is found


def _bubble(material, **changes):
    return BalloonType("20 in bubble", material, 20, 9.0, median_hours=100.0, **changes)


def _filled(balloon_type, gas=Gas.HELIUM, air=SHOP, **changes):
    return Filling(balloon_type, gas, balloon_type.full_litres, air, **changes)


def _named_in(told):
    return [word for word in re.findall(r"\w+", told) if word != "or"]


def test_a_sentence_names_those_that_can(bubble):
    assert _named_in(materials_that(lambda traits: traits.can_be_treated)) == ["latex"]
    assert _named_in(materials_that(lambda traits: traits.is_topper)) == ["foil", "sphere"]
    assert _named_in(materials_that(lambda traits: traits.takes_own)) == ["foil", "sphere", "bubble"]
    assert materials_that(lambda traits: traits.stretches and traits.is_topper) == ""


def test_a_made_up_material_floats_by_its_leak(bubble):
    filling, floats = _filled(_bubble(bubble)), FloatDefaults()
    owns = endurance(filling, floats)
    assert (owns.budget, owns.scatter) == (pytest.approx(100.0), floats.film)
    assert filling_loss_rate(filling, HOT, floats) == pytest.approx(1.0)
    assert filling_loss_rate(filling, Air(20.0, 2000.0), floats) == pytest.approx(
        Air(20.0, 2000.0).pressure_pa / 101325
    )
    assert filling_loss_rate(_filled(_bubble(bubble), Gas.AIR), HOT, floats) == 0.0
    assert light_rate(bubble, Gas.HELIUM, Surroundings.SUN, LightLimits()) == 0.0


def test_a_made_up_material_that_leaks_like_latex_has_the_hours_of_latex(monkeypatch):
    """Another material with the same physics needs no more than its entry."""
    traits = replace(Material.LATEX.traits, can_be_treated=False, ages_in_light=False)
    twin = BalloonType("11 in twin", add_material(monkeypatch, "twin", traits), 11, 3.0)
    latex = BalloonType("11 in latex", Material.LATEX, 11, 3.0)
    floats = FloatDefaults()
    assert endurance(_filled(twin), floats) == endurance(_filled(latex), floats)
    assert filling_loss_rate(_filled(twin), HOT, floats) == filling_loss_rate(_filled(latex), HOT, floats) > 1.0
    with pytest.raises(ValueError):
        endurance(_filled(twin, treated=True), floats)
    for gas in Gas:
        assert light_rate(twin.material, gas, Surroundings.SHADE, floats.light) == 0.0
        assert light_rate(latex.material, gas, Surroundings.SHADE, floats.light) == 1.0 / floats.light.shade


def test_a_made_up_material_needs_the_measures_of_its_entry(bubble):
    with pytest.raises(ValueError):
        BalloonType("20 in bubble", bubble, 20, 9.0)
    assert BalloonType("20 in bubble", bubble, 20, 9.0, air_only=True).air_only


def test_a_made_up_material_is_sized_and_met_by_the_wind_as_it_stretches(bubble):
    made = _bubble(bubble)
    size = fill_size(made, Gas.HELIUM, SHOP, (HOT,), Surroundings.INDOORS, AirSizes())
    assert size.diameter_in < 20.0
    assert size.litres == pytest.approx(made.full_litres * (size.diameter_in / 20.0) ** 3)
    assert wind_width_in(_filled(made), HOT) > 20.0 == pytest.approx(sphere_diameter_in(made.full_litres))
    assert gas_litres(made, 10.0, SHOP) == pytest.approx(10.0 * (1 + 2000.0 / SHOP.pressure_pa))


def test_a_made_up_material_takes_the_work_of_its_entry(bubble):
    made, work = _bubble(bubble, air_only=True), WorkTimes()
    filling = _filled(made, Gas.AIR)
    flowing = fill_seconds(filling.litres, work.air_l_per_s)
    assert seconds_per_balloon(filling, work) == pytest.approx(flowing + work.seal_seconds)
    assert figure_of(filling) is WorkFigure.SEAL
    assert filling_point(bubble, Gas.AIR, air_only=True) == "air"


def test_a_made_up_material_is_stuffed_by_its_entry(monkeypatch):
    traits = replace(Material.SPHERE.traits, stuffed_with_air_only=True)
    crate = BalloonType("20 in crate", add_material(monkeypatch, "crate", traits), 20, 9, 20, 100)
    stuffing = Stuffing(crate, Gas.HELIUM, "bear", 3.0, Filler.NOTHING, Gas.HELIUM)
    (reason,) = reasons_not_to_make(stuffing, StuffingDefaults())
    assert "crate" in reason
    assert reasons_not_to_make(replace(stuffing, gas=Gas.AIR), StuffingDefaults()) == ()
    assert filling_point(crate.material, Gas.AIR, air_only=True) == STUFFING
