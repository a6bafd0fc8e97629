"""Designs with other balloons than their own, for one line: larger ones, another material, or the same with air."""

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace

from app.physics.balloon import Gas
from app.quoting.catalogue import Catalogue, Design, Part
from app.quoting.errors import NO_LONGER_SOLD, Problem, Refused
from app.quoting.request import PartSwap

NOTHING_TO_REPLACE = "The shop changed this design. Choose it again."


def _swap_of(part: Part, swaps: Sequence[PartSwap]) -> PartSwap | None:
    """Returns the swap that replaces the part; one of its own gas goes before one to air."""
    fitting = [swap for swap in swaps if swap.was == part.balloon_type_id and swap.gas in (part.gas, Gas.AIR)]
    return min(fitting, key=lambda swap: swap.gas != part.gas, default=None)


def _swapped_part(part: Part, swaps: Sequence[PartSwap]) -> Part:
    """Returns the part as the line has it."""
    swap = _swap_of(part, swaps)
    return replace(part, balloon_type_id=swap.now, gas=swap.gas) if swap else part


def swapped_design(design: Design, swaps: Sequence[PartSwap], catalogue: Catalogue) -> Design:
    """Returns the design with the balloons that replace its own.

    A set price changes by the difference of the prices of the balloons, and is never below 0; a calculated one
    follows from the new parts.
    """
    if not swaps:
        return design
    parts = tuple(_swapped_part(part, swaps) for part in design.parts)
    more = sum(_price(part, catalogue) for part in parts) - sum(_price(part, catalogue) for part in design.parts)
    return replace(design, parts=parts, price_minor=max(design.price_minor + more, 0))


def _price(part: Part, catalogue: Catalogue) -> int:
    """Returns the price of the balloons of the part, sold by themselves, in minor units."""
    return part.quantity * catalogue.balloon_types[part.balloon_type_id].price_minor


def refuse_wrong_swaps(
    design: Design, swaps: Sequence[PartSwap], line_index: int, catalogue: Catalogue, had: Collection[int]
) -> None:
    """Raises Refused if a swap replaces nothing in the design, or its new balloons are not sold, or do not float.

    had: the ids of balloon types that the order has already, which stay even if they are archived.
    """
    used = {_swap_of(part, swaps) for part in design.parts}
    for swap in swaps:
        row = catalogue.balloon_types.get(swap.now)
        if swap not in used:
            raise Refused(Problem("what", NOTHING_TO_REPLACE, line_index))
        if row is None or (row.archived_at is not None and row.id not in had):
            raise Refused(Problem("what", NO_LONGER_SOLD, line_index))
        if row.air_only and swap.gas is Gas.HELIUM:
            raise Refused(Problem("what", f"{row.name} is too small or too heavy to float.", line_index))


def changed_swaps(
    design: Design, swaps: Sequence[PartSwap], change: Callable[[Part], Part]
) -> tuple[PartSwap, ...]:
    """Returns the swaps that a line needs so that its parts become what `change` returns for each of them.

    swaps: those that the line has already. No part's gas changes from air to helium.
    """
    found: dict[PartSwap, None] = {}
    for part in design.parts:
        new = change(_swapped_part(part, swaps))
        if (new.balloon_type_id, new.gas) != (part.balloon_type_id, part.gas):
            found[PartSwap(part.balloon_type_id, new.balloon_type_id, Gas(new.gas))] = None
    return tuple(found)


def describe_swaps(swaps: Sequence[PartSwap], catalogue: Catalogue) -> str:
    """“with 16 in latex instead of 11 in latex”: what the design has instead, as its title says it; empty if it has
    its own balloons."""
    if not swaps:
        return ""
    if all(swap.was == swap.now and swap.gas is Gas.AIR for swap in swaps):
        return "filled with air"
    return f"with {', '.join(_describe(swap, catalogue) for swap in swaps)}"


def _describe(swap: PartSwap, catalogue: Catalogue) -> str:
    was, now = (catalogue.balloon_types[key].name for key in (swap.was, swap.now))
    filled = f"{now} filled with air" if swap.gas is Gas.AIR else now
    return filled if was == now else f"{filled} instead of {was}"
