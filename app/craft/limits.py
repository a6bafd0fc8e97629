"""This module checks that a figure lies within its limits, and words the error for one that does not."""


def within(what: str, value: float, least: float, most: float, unit: str = "") -> float:
    """Returns the value itself, if it lies from least to most.

    what: the name of the figure, and unit its unit, for the error. Raises ValueError when the value lies outside or
    is not a number.
    """
    if not least <= value <= most:
        end = f" {unit}" if unit else ""
        raise ValueError(f"{what} of {value:g}{end} is outside {least:g} to {most:g}{end}")
    return value


def diameter_within(diameter_in: float) -> float:
    """Returns the diameter of a filled balloon itself, if it lies from 3 to 40 in. Raises ValueError outside."""
    return within("a diameter", diameter_in, 3.0, 40.0, "in")
