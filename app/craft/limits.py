"""Figures that a piece may have, and the sentence that refuses others."""


def within(what: str, value: float, least: float, most: float, unit: str = "") -> float:
    """The value itself. Raises ValueError where it is outside least to most, or no number."""
    if not least <= value <= most:
        end = f" {unit}" if unit else ""
        raise ValueError(f"{what} of {value:g}{end} is outside {least:g} to {most:g}{end}")
    return value


def diameter_within(diameter_in: float) -> float:
    """A filled balloon's diameter, 3 to 40 in. Raises ValueError outside."""
    return within("a diameter", diameter_in, 3.0, 40.0, "in")
