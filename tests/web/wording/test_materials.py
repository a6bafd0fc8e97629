"""What pages say of each material."""

import pytest

from app.physics.balloon import Gas
from app.physics.material import Material
from app.web.wording.materials import (
    AIR_TIP,
    MATERIAL_WORDS,
    TIP_WORDS,
    full_words,
    mass_hint,
    nozzle_name,
    shape_hint,
)


@pytest.mark.parametrize("material", Material)
def test_each_material_has_its_words(material):
    words = MATERIAL_WORDS[material]
    assert words.heading[0].isupper()
    assert words.fill_instruction.split()[0] in ("to", "until")
    assert words.substitute_note == "" or words.substitute_note.endswith(".")


@pytest.mark.parametrize("material", Material)
def test_air_goes_through_the_pump_and_helium_through_the_tip_of_the_material(material):
    assert nozzle_name(material, Gas.AIR) == AIR_TIP == "air pump"
    assert nozzle_name(material, Gas.HELIUM) == TIP_WORDS[material.traits.tip]


@pytest.mark.parametrize(
    ("material", "treated", "round_"), [("latex", True, True), ("foil", False, False), ("sphere", False, False)]
)
def test_only_of_latex_it_is_said_that_it_is_untreated_and_calculated_as_round(material, treated, round_):
    traits = Material(material).traits
    assert ("untreated" in full_words(traits)) is ("untreated" in mass_hint(traits)) is treated
    assert ("round" in shape_hint(traits)) is round_
