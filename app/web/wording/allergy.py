"""What pages say where somebody is allergic to latex. Source of the danger: NIOSH 97-135 (published)."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.physics.material import Material, materials_that
from app.quoting.allergy import latex_balloons
from app.quoting.quote import Quote
from app.store.models import Order

ASK_THE_VENUE = "Ask the venue too. Latex can harm people who are allergic, even if others carry it."
LATEX = "contains-latex"
LATEX_FREE = "latex-free"


@dataclass(frozen=True, slots=True)
class AllergyWarning:
    """state: LATEX where something contains latex, else LATEX_FREE."""

    state: str
    text: str


def warn_of_quote(quote: Quote, *, can_be_replaced: bool) -> AllergyWarning | None:
    """Returns the warning while an order is typed; None when its allergy field is not set."""
    if not quote.request.latex_allergy:
        return None
    lines = []
    for place, line in enumerate(quote.lines):
        if balloons := latex_balloons(quote, place):
            lines.append(_line_words(line.request.quantity, line.title, line.request.design_id, balloons))
    return _warning(lines, _what_to_do(can_be_replaced=can_be_replaced))


def _what_to_do(*, can_be_replaced: bool) -> str:
    instead = materials_that(lambda traits: traits.offered_instead and not traits.contains_latex)
    return f"Offer {instead} instead{': see below' if can_be_replaced else ''}."


def warn_of_order(order: Order) -> AllergyWarning | None:
    """Returns the warning for a saved order; None when its allergy field is not set."""
    if not order.latex_allergy:
        return None
    types = {
        batch.balloon_type_id: batch.balloon_type_name
        for batch in order.batches
        if batch.material.traits.contains_latex
    }
    lines = []
    for line in order.lines:
        balloons: dict[str, int] = {}
        for part in line.parts:
            if name := types.get(part["balloon_type_id"]):
                balloons[name] = balloons.get(name, 0) + sum(count for _, count in part["colours"])
        if balloons:
            lines.append(_line_words(line.quantity, line.title, line.design_id, balloons))
    return _warning(lines, "Give them to nobody who is allergic, and tell the venue.")


def _line_words(quantity: int, title: str, design_id: int | None, balloons: dict[str, int]) -> str:
    of_design = ", ".join(f"{count} × {name}" for name, count in balloons.items())
    return f"{quantity} × {title}" + (f" ({of_design})" if design_id is not None else "")


def _warning(lines: Sequence[str], what_to_do: str) -> AllergyWarning:
    if not lines:
        return AllergyWarning(LATEX_FREE, "No balloon here contains latex. Supplies are not checked.")
    return AllergyWarning(LATEX, f"Contains latex: {'; '.join(lines)}. {what_to_do}")


def warn_of_batch(material: Material) -> AllergyWarning:
    """Returns the warning for one batch of an order with a latex allergy."""
    if material.traits.contains_latex:
        return AllergyWarning(LATEX, "This batch contains latex. Ask the counter before you fill it.")
    text = "This batch contains no latex. Do not use latex gloves. Store it apart from latex balloons."
    return AllergyWarning(LATEX_FREE, text)
