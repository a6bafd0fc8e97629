"""Which lines of an order harm somebody who is allergic to latex.

Source: NIOSH 97-135, "Preventing Allergic Reactions to Natural Rubber Latex in the Workplace" (published): touching
natural rubber latex, and breathing in its proteins on powder, can make allergic people ill. A warning never refuses
an order and leaves its float verdict as it is. Only balloons are looked at; nobody lists what supplies are made of.
"""

from app.quoting.quote import Quote


def latex_balloons(quote: Quote, line_index: int) -> dict[str, int]:
    """Returns the balloons with latex of a line, by the name of their type; empty if the line has none."""
    line = quote.lines[line_index]
    found: dict[str, int] = {}
    for plan in quote.batches_of(line):
        if plan.fill.balloon_type.material.traits.contains_latex:
            name = plan.fill.balloon_type.name
            found[name] = found.get(name, 0) + sum(line.parts[plan.fill.spec].values())
    return found


def avoids_latex(quote: Quote, line_index: int) -> bool:
    """Returns whether the line has latex although the order has a latex allergy; alternatives for it must then have
    no latex."""
    return quote.request.latex_allergy and bool(latex_balloons(quote, line_index))
