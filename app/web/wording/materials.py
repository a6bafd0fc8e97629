"""What pages say of each material: one entry each, in the order in which pages list them."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.physics.balloon import Gas
from app.physics.material import Material, Tip, Traits

AIR_TIP = "air pump"


@dataclass(frozen=True, slots=True)
class MaterialWords:
    """What pages say of a material.

    heading: above its balloon types. plural: several of them, at the start of a sentence. fill_instruction: how
    full to fill it, after “fill”. appearance: what a full one then looks like, if fill_instruction does not say
    it. substitute_note: what to know before it is sold in place of a balloon that sinks too soon; empty when it is
    never offered for that.
    """

    heading: str
    plural: str
    fill_instruction: str
    appearance: str = ""
    substitute_note: str = ""


MATERIAL_WORDS: Mapping[Material, MaterialWords] = {
    Material.LATEX: MaterialWords(heading="Latex", plural="Latex balloons", fill_instruction="to its size"),
    Material.FOIL: MaterialWords(
        heading="Foil",
        plural="Foil balloons",
        fill_instruction="until taut but soft under the thumb",
        appearance="small creases left at the seam",
        substitute_note="Foil comes in other shapes and colours than latex.",
    ),
    Material.SPHERE: MaterialWords(
        heading="Spheres",
        plural="Spheres",
        fill_instruction="until round and drum-tight, without creases",
        substitute_note="Spheres are clear, not coloured.",
    ),
}


TIP_WORDS: Mapping[Tip, str] = {
    Tip.LATEX: "latex tip",
    Tip.LATEX_MORE_PRESSURE: "latex tip at higher pressure",
    Tip.FOIL_LOW_PRESSURE: "low-pressure foil tip",
}


def nozzle_name(material: Material, gas: Gas) -> str:
    """“low-pressure foil tip”: what that gas goes through into a balloon of the material."""
    return TIP_WORDS[material.traits.tip] if gas is Gas.HELIUM else AIR_TIP


def full_words(traits: Traits) -> str:
    """Returns in what state its float time is told: “full and untreated”, or “full” if it cannot be treated."""
    return "full and untreated" if traits.can_be_treated else "full"


def shape_hint(traits: Traits) -> str:
    """Returns what the shape of a balloon type is for."""
    if traits.hours_are_computed:
        return "It is calculated as round, whatever its shape."
    return "For the pictures; its litres and hours are those stated below."


def mass_hint(traits: Traits) -> str:
    """Returns how the weight of one is found."""
    return f"{'Empty and untreated' if traits.can_be_treated else 'Empty'}. Weigh 10 together and divide by 10."
