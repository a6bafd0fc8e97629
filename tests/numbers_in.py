"""The numbers of a sentence, for tests that compare values and leave the words alone."""

import re


def numbers_in(text):
    """Every number of the text, in its order: “4 of 11 in” gives [4.0, 11.0]."""
    return [float(number) for number in re.findall(r"\d+(?:\.\d+)?", text)]
