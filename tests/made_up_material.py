"""A material that no shop has: neither like latex nor like foil in all it can do, so that whoever decides by a
material's name instead of its entry is found out."""

from dataclasses import replace

import pytest

from app.physics import material as materials
from app.physics.material import Leak, Material, Tip, Traits
from app.web.wording import materials as wording

TRAITS = Traits(
    leak=Leak.STEADY,
    tip=Tip.LATEX_MORE_PRESSURE,
    measures=frozenset({"rated_in", "median_hours"}),
    helium_measures=("median_hours",),
    stretches=True,
    overpressure_pa=2000.0,
    bursts_in_filling=True,
    takes_own=True,
    holds_water=True,
    ages_in_stock=True,
    conducts_electricity=True,
    offered_instead=True,
)


@pytest.fixture
def bubble(monkeypatch):
    """It stretches and bursts like latex, and has stated hours like foil; it is sealed and no topper."""
    return add_material(monkeypatch, "bubble", TRAITS)


def add_material(monkeypatch, name, traits):
    """One member, its entry and its words, taken out again after the test."""
    member = str.__new__(Material, name)
    member._name_, member._value_ = name.upper(), name
    monkeypatch.setattr(Material, "_member_names_", [*Material._member_names_, name.upper()])
    monkeypatch.setitem(Material._member_map_, name.upper(), member)
    monkeypatch.setitem(Material._value2member_map_, name, member)
    monkeypatch.setattr(materials, "TRAITS", {**materials.TRAITS, member: traits})
    words = replace(
        wording.MATERIAL_WORDS[Material.FOIL], heading=name.capitalize(), fill_instruction="until it rings"
    )
    monkeypatch.setitem(wording.MATERIAL_WORDS, member, words)
    return member
