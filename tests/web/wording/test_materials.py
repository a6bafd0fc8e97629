"""What pages say of each material."""

import pytest

from app.physics.balloon import Gas
from app.physics.material import Material
from app.web.wording.materials import AIR_TIP, MATERIAL_WORDS, TIP_WORDS, nozzle_name


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
