"""What pages say of each material: one entry each, in the order in which pages list them."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.physics.balloon import Gas
from app.physics.material import Material, Tip

AIR_TIP = "air pump"


@dataclass(frozen=True, slots=True)
class MaterialWords:
    """heading: above its balloon types. filled: how full it is filled, after “fill”. looks: what a full
    one then looks like, where that is not said by `filled`. instead: what to know before it is sold in place of
    what sinks too soon; empty where it never is."""

    heading: str
    filled: str
    looks: str = ""
    instead: str = ""


MATERIAL_WORDS: Mapping[Material, MaterialWords] = {
    Material.LATEX: MaterialWords(heading="Latex", filled="to its size"),
    Material.FOIL: MaterialWords(
        heading="Foil",
        filled="until taut but giving under a thumb",
        looks="small creases left at the seam",
        instead="Foil in place of latex: other shapes and colours.",
    ),
    Material.SPHERE: MaterialWords(
        heading="Spheres",
        filled="until round and drum-tight, no crease left",
        instead="Clear spheres in place of latex.",
    ),
}


TIP_WORDS: Mapping[Tip, str] = {
    Tip.LATEX: "latex tip",
    Tip.LATEX_MORE_PRESSURE: "latex tip, more pressure",
    Tip.FOIL_LOW_PRESSURE: "low-pressure foil tip",
}


def filling_tip(material: Material, gas: Gas) -> str:
    """“low-pressure foil tip”: what that gas goes through into a balloon of the material."""
    return TIP_WORDS[material.traits.tip] if gas is Gas.HELIUM else AIR_TIP
