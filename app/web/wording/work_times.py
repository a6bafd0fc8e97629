"""This module words what the taps at the bench say about how long work takes."""

from app.planning.work_times import FEWEST_BATCHES, ExclusionReason, Outcome, WorkTimeFinding

OUTCOMES = {
    Outcome.AGREES: "The setting agrees with the measurement.",
    Outcome.OFFERED: "The measurement differs from the setting.",
    Outcome.MOSTLY_EXCLUDED: "Most batches were left out, so no new value is offered.",
    Outcome.NEGATIVE: "These batches were faster than the settings for preparation and gas flow allow: "
    "correct those first.",
    Outcome.HANDLING_FIRST: "The measurement differs from the setting, but depends on “Handling latex”: "
    "save that first.",
}
LEFT_OUT = {
    ExclusionReason.CLOSED: "the shop closed in between",
    ExclusionReason.GAS: "faster than the gas flows",
    ExclusionReason.SMALL: "too few balloons",
    ExclusionReason.FAST: "far too fast, probably started before the first press",
    ExclusionReason.SLOW: "far too slow, probably a late last press or other work in between",
}


def outcome_sentence(finding: WorkTimeFinding) -> str:
    """Returns what follows from a measurement."""
    if finding.outcome is Outcome.TOO_FEW:
        return f"Too few batches so far: {len(finding.used)} of {FEWEST_BATCHES}."
    return OUTCOMES[finding.outcome]


def left_out_reason(why: ExclusionReason | None) -> str:
    """Returns why a batch was left out; empty if it counts."""
    return LEFT_OUT[why] if why else ""
