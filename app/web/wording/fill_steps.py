"""This module words how the balloons of a batch are filled: one sentence or two for each act."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from app.craft.fill_steps import FillAct, FillStep
from app.physics.balloon import Gas
from app.physics.material import Material
from app.web.formats import Formats
from app.web.wording.materials import MATERIAL_WORDS, nozzle_name
from app.web.wording.orders import ALMOST_FULL
from app.web.wording.piece_steps import NumberedStep


@dataclass(frozen=True, slots=True)
class _Filled:
    """What is filled, with the formats in which it is said."""

    material: Material
    gas: Gas
    formats: Formats

    @property
    def nozzle(self) -> str:
        return nozzle_name(self.material, self.gas)


def show_fill_steps(
    steps: Iterable[FillStep], material: Material, gas: Gas, formats: Formats
) -> tuple[NumberedStep, ...]:
    """Returns the steps of a batch as pages show them, in their order."""
    filled = _Filled(material, gas, formats)
    return tuple(NumberedStep(step.act, FILL_WORDS[step.act](step, filled), step.count) for step in steps)


def set_sizers_words(sizes: Iterable[tuple[str, float]], formats: Formats) -> str:
    """Returns the step that sets the sizer for several balloon types: their names, each with its size in inches."""
    listed = ", ".join(f"{formats.size(size)} for {name}" for name, size in sizes)
    return f"Set the sizer once for each: {listed}."


def _set_sizer(step: FillStep, filled: _Filled) -> str:
    return f"Set the sizer to {filled.formats.size(step.size_in)}, the same for the whole batch."


def _fill_over(step: FillStep, filled: _Filled) -> str:
    return f"Fill each balloon with {filled.gas} a little over that size. Use the {filled.nozzle}."


def _pass_sizer(step: FillStep, filled: _Filled) -> str:
    return (
        f"Hold it in the sizer and let {filled.gas} out until it just passes. If its neck is swollen, it is too"
        " full. On a timed filler, keep the dial setting that made the first one pass."
    )


def _fill_taut(step: FillStep, filled: _Filled) -> str:
    words = MATERIAL_WORDS[filled.material]
    look = f", {words.appearance}" if words.appearance else ""
    stop = f" Stop at about {filled.formats.percent(step.share)} of full." if step.share < ALMOST_FULL else ""
    return (
        f"Fill each balloon with {filled.gas} {words.fill_instruction}{look}. Use the {filled.nozzle} and no"
        f" sizer.{stop}"
    )


def _knot(step: FillStep, filled: _Filled) -> str:
    return f"Tie a knot in the neck of {step.count} of them." if step.count else "Tie a knot in each neck."


def _pair(step: FillStep, filled: _Filled) -> str:
    which = f"Give {step.count} of them no knot" if step.count else "Tie no single knots"
    return f"{which}: two necks are tied together, as shown under “Build”."


def _in_machine(step: FillStep, filled: _Filled) -> str:
    which = f"Fill {step.count} of them" if step.count else "Fill each balloon"
    return f"{which} on the stuffing machine, as shown under “Build”. Use no sizer."


FILL_WORDS: Mapping[FillAct, Callable[[FillStep, _Filled], str]] = {
    FillAct.TREAT: lambda step, filled: "Treat each balloon inside. Spread the coat evenly and wipe the neck.",
    FillAct.SET_SIZER: _set_sizer,
    FillAct.FILL_OVER: _fill_over,
    FillAct.PASS_SIZER: _pass_sizer,
    FillAct.FILL_TAUT: _fill_taut,
    FillAct.KNOT: _knot,
    FillAct.SEAL: lambda step, filled: f"Seal {step.count} of them." if step.count else "Seal each balloon.",
    FillAct.PAIR: _pair,
    FillAct.IN_MACHINE: _in_machine,
    FillAct.DRY: lambda step, filled: (
        f"Let them dry for {filled.formats.minutes(step.minutes)} before you bag them."
    ),
}
