"""This module says what becomes of the balloons of a batch: how sure it is, and what is wrong."""

from fractions import Fraction
from math import ceil

from app.actions.records.descriptions import percent
from app.physics.balloon import Gas
from app.physics.light import TWICE
from app.physics.promise import Promise
from app.planning.window import FloatOutcome, Limit, Verdict

VERDICTS = {
    Verdict.SAFE: "Safe",
    Verdict.RISKY: "Risky",
    Verdict.WONT_LAST: "Won't last",
}
FLOAT_VERDICTS = {
    Verdict.SAFE: "Float: Safe",
    Verdict.RISKY: "Float: Risky",
    Verdict.WONT_LAST: "Won't last",
}
"""The verdicts where a list or a badge may also be about the bench, so that each says what is safe or risky."""

EVENT_OVER = "Event over"
"""Stands where a verdict was, once nothing needs to float any more."""


def float_verdict_words(promised: str, now: str) -> str:
    """Returns how long the balloons of an order last: “Float: Risky”; if that is no longer what was promised, both:
    “Promised: Risky. Now: won't last”."""
    if promised == now:
        return FLOAT_VERDICTS[Verdict(now)]
    return f"Promised: {VERDICTS[Verdict(promised)]}. Now: {VERDICTS[Verdict(now)].lower()}"


def over_sentence(until: str) -> str:
    """Returns the sentence about balloons that need not float any more."""
    return f"They had to float until {until}, and that is over."


ALMOST_SURE = 0.995


def outcome_sentence(outcome: FloatOutcome, promise: Promise, at: str, gas: str) -> str:
    """Returns what becomes of a batch at a time: what is wrong if it is not safe, else how sure it is.

    Air-filled balloons do not sink, so for them it says whether they still look their best.
    """
    said = {
        Limit.FLOAT: chance_sentence(outcome.chance, promise, at),
        Limit.LIGHT: _light_sentence(outcome.light, at),
        Limit.WIND: "It is too windy for helium outdoors.",
    }
    if outcome.limits:
        return " ".join(said[limit] for limit in outcome.limits)
    return f"They still look their best at {at}." if gas == Gas.AIR else said[Limit.FLOAT]


def chance_sentence(chance: float, promise: Promise, at: str) -> str:
    """Returns a sentence about the chance of what is promised, at a time, rounded down: “92% chance that at least
    22 of the 24 are still up at 23:30.”"""
    if chance < 0.01:
        return f"Almost certain to have sunk by {at}."
    sure = "Almost certain" if chance >= ALMOST_SURE else f"{percent(chance)} chance"
    return f"{sure} that {promised_words(promise)} still up at {at}."


def odds_words(chance: float) -> str:
    """Returns a chance between 0 and 1 as odds: “19 times in 20”."""
    odds = Fraction(chance).limit_denominator(1000)
    return f"{odds.numerator} times in {odds.denominator}"


def promised_words(promise: Promise) -> str:
    """Returns what is promised of a batch: “at least 22 of the 24 are”."""
    if promise.of == 1:
        return "it is"
    if promise.at_least == promise.of:
        return "both are" if promise.of == 2 else f"all {promise.of} are"
    return f"at least {promise.at_least} of the {promise.of} are"


def _light_sentence(light: float, at: str) -> str:
    """Returns what light does to latex. light: the share of the limits that is used up, over 1."""
    share = f"{ceil(light * 100 - 1e-9)}%"
    if light <= TWICE:
        return f"Too much light for latex: {share} of its limit by {at}. It dulls and may burst."
    return f"Far too much light for latex: {share} of its limit by {at}. It dulls and bursts."


def worse_side(was: str, now: str) -> str:
    """Returns which of two values of a history is the worse: “was” or “is”; empty if neither is, or if they are no
    verdicts and no chances."""
    before, after = _rank(was), _rank(now)
    if before is None or after is None or before == after:
        return ""
    return "is" if after > before else "was"


def _rank(text: str) -> float | None:
    """Returns how bad a verdict or a chance is, as the history has it; None for anything else."""
    verdicts = {word.lower(): verdict.rank for verdict, word in VERDICTS.items()}
    if text.lower() in verdicts:
        return verdicts[text.lower()]
    return -float(text[:-1]) if text.endswith("%") and text[:-1].isdigit() else None
