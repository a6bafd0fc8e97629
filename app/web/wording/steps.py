"""This module words what speaks against a step of a hand-over, for the question before it is taken anyway."""

from collections.abc import Sequence
from datetime import datetime

from app.actions.orders.concerns import Concern, ConcernKind
from app.quoting.states import HandOverStep
from app.web.formats import Formats
from app.web.wording.gas import litres

SENTENCES = {
    ConcernKind.UNDRIED: (
        "Nobody has ticked that the treated balloons are dry. Touch one. If it is dry, tick “Dry” first."
    ),
    ConcernKind.UNWEIGHTED: (
        "Nobody has ticked that the weights are tied on. Every helium balloon leaves with a weight. Check them"
        " first."
    ),
}


def concern_sentence(concern: Concern, formats: Formats, now: datetime) -> str:
    """Returns what is wrong, what follows, and what or when would be right."""
    if concern.dry_at:
        return _wet(concern.step, formats.short_moment(concern.dry_at, formats.local(now).date()))
    if concern.kind in SENTENCES:
        return SENTENCES[concern.kind]
    if concern.kind is ConcernKind.NO_GAS:
        return _no_gas(litres(concern.needed, formats), litres(concern.held, formats) if concern.held else "")
    due = formats.money(concern.due_minor)
    return f"{due} is still to pay. Once the order has left, you must ask for it later. Save the payment first."


def _wet(step: HandOverStep, dry: str) -> str:
    """Returns the sentence about treated balloons that are not dry. That a wet coat does not hold the helium yet is
    common practice, without a source."""
    act = "bagged" if step is HandOverStep.DRY else "moved"
    return (
        f"The treated balloons are wet until {dry}. If they are {act} wet, they may sink sooner. Wait until then."
    )


def _no_gas(needed: str, held: str) -> str:
    """Returns the sentence about a crew with too little helium. held: empty if no cylinder goes along."""
    if not held:
        return f"No cylinder goes along. The crew needs {needed} of helium at the venue. Choose a cylinder first."
    return (
        f"The cylinders that go along hold {held} of helium, and the crew needs {needed}. Some balloons would stay"
        " empty. Add a cylinder first."
    )


def anyway_words(concerns: Sequence[Concern]) -> str:
    """Returns the answer that takes the step anyway."""
    if concerns[0].step is HandOverStep.DRY:
        return "Mark dry anyway"
    if concerns[0].step is HandOverStep.PACKED:
        return "Pack anyway"
    return "Hand over unpaid" if {one.kind for one in concerns} == {ConcernKind.UNPAID} else "Hand over anyway"
