"""Bench: how the balloons of a piece in the build calculator are filled."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.craft.fill_steps import FillAct, FillStep, FillTask, fill_steps
from app.quoting.batch_use import use_of_group
from app.quoting.build_sheets.input import BuildInput
from app.web.formats import Formats
from app.web.wording.fill_steps import set_sizers_words, show_fill_steps
from app.web.wording.piece_steps import NumberedStep


@dataclass(frozen=True, slots=True)
class ShownFills:
    """Balloons that are filled with the same steps. title: “8 × 9 in latex, 12 × 11 in latex”."""

    title: str
    steps: tuple[NumberedStep, ...]


@dataclass(frozen=True, slots=True)
class _Group:
    """Balloons of one type with what is to be done."""

    name: str
    title: str
    task: FillTask
    steps: tuple[FillStep, ...]


def show_fills(piece: BuildInput, formats: Formats) -> list[ShownFills]:
    """Returns how the balloons of the piece are filled; types that differ only in the sizer's setting together."""
    alike: dict[object, list[_Group]] = {}
    for index, _ in enumerate(piece.balloons):
        group = _group(piece, index)
        acts = tuple(step.act for step in group.steps)
        alike.setdefault((group.task.material, group.task.gas, acts), []).append(group)
    return [_show(groups, formats) for groups in alike.values()]


def _show(groups: Sequence[_Group], formats: Formats) -> ShownFills:
    """Returns the groups with the steps that they share."""
    first, several = groups[0], len(groups) > 1
    steps = show_fill_steps(first.steps, first.task.material, first.task.gas, formats)
    sizers = NumberedStep(
        FillAct.SET_SIZER, set_sizers_words([(group.name, group.task.size_in) for group in groups], formats)
    )
    return ShownFills(
        ", ".join(group.title for group in groups),
        tuple(sizers if several and step.act is FillAct.SET_SIZER else step for step in steps),
    )


def _group(piece: BuildInput, index: int) -> _Group:
    """Returns the group of the piece with this index; a number that nobody typed is left out of its title."""
    group, use = piece.balloons[index], use_of_group(piece, index)
    filling, name = group.filling, group.filling.balloon_type.name
    task = FillTask(
        filling.balloon_type.material,
        filling.gas,
        group.count,
        group.size_in,
        filling.litres / filling.balloon_type.full_litres,
        paired=use.paired,
        stuffed=use.stuffed,
    )
    number = f"{group.count} × " if piece.has_final_counts or use.stuffed else ""
    return _Group(name, f"{number}{name}", task, fill_steps(task))
