"""This module says in which order a batch is filled: each step is an act with the numbers it needs.

The order is common practice, no source.
"""

from dataclasses import dataclass
from enum import StrEnum

from app.physics.balloon import Gas
from app.physics.material import Material


class FillAct(StrEnum):
    """What is done to the balloons of a batch.

    FILL_TAUT is for what does not stretch, which goes through no sizer. PAIR: closed as its pair is tied.
    IN_MACHINE: filled while it is stuffed.
    """

    TREAT = "treat"
    SET_SIZER = "set sizer"
    FILL_OVER = "fill over"
    PASS_SIZER = "pass sizer"
    FILL_TAUT = "fill taut"
    KNOT = "knot"
    SEAL = "seal"
    PAIR = "pair"
    IN_MACHINE = "in machine"
    DRY = "dry"


@dataclass(frozen=True, slots=True)
class FillStep:
    """A step of filling a batch.

    count: the balloons that the step is for; 0 when it is for all. size_in: the setting of the sizer, in inches.
    share: how far to fill what does not stretch, as a share of full, 0 to 1. minutes: how long the coat dries.
    """

    act: FillAct
    count: int = 0
    size_in: float = 0.0
    share: float = 1.0
    minutes: int = 0


@dataclass(frozen=True, slots=True)
class FillTask:
    """Balloons that are filled alike. size_in: on the sizer, in inches. share: of full, 0 to 1. count: all of them,
    0 or more; of these, paired are tied neck to neck, and stuffed are filled in the stuffing machine.
    drying_minutes: how long a treated one dries, 0 or more."""

    material: Material
    gas: Gas
    count: int
    size_in: float
    share: float = 1.0
    treated: bool = False
    drying_minutes: int = 0
    paired: int = 0
    stuffed: int = 0


def fill_steps(task: FillTask) -> tuple[FillStep, ...]:
    """Returns the steps of filling, in order: coat, size and gas, neck, drying. Raises no errors.

    What stretches is filled a little over and let down until it passes the sizer; what does not is filled taut.
    What is stuffed is filled in the machine and never sized. Common practice, no source.
    """
    by_hand = task.count - task.stuffed
    in_machine = FillStep(FillAct.IN_MACHINE, count=task.stuffed if by_hand > 0 else 0)
    return (
        *((FillStep(FillAct.TREAT),) if task.treated else ()),
        *((in_machine,) if task.stuffed else ()),
        *((*_gas_steps(task), *_neck_steps(task, by_hand)) if by_hand > 0 else ()),
        *((FillStep(FillAct.DRY, minutes=task.drying_minutes),) if task.treated else ()),
    )


def _gas_steps(task: FillTask) -> tuple[FillStep, ...]:
    """Returns the steps that bring the gas in."""
    if not task.material.traits.stretches:
        return (FillStep(FillAct.FILL_TAUT, share=task.share),)
    return (
        FillStep(FillAct.SET_SIZER, size_in=task.size_in),
        FillStep(FillAct.FILL_OVER),
        FillStep(FillAct.PASS_SIZER),
    )


def _neck_steps(task: FillTask, by_hand: int) -> tuple[FillStep, ...]:
    """Returns the steps that close the necks of the balloons that are not stuffed."""
    alone = by_hand - task.paired
    close = FillAct.KNOT if task.material.traits.is_tied else FillAct.SEAL
    single = FillStep(close, count=0 if alone == task.count else alone)
    pair = FillStep(FillAct.PAIR, count=0 if task.paired == task.count else task.paired)
    return (*((single,) if alone > 0 else ()), *((pair,) if task.paired else ()))
