"""Thousands separators and decimal marks, as people type them into a field for a number."""

import re

from wtforms.validators import ValidationError

from app.web.wording.forms import enter_without_separators

_NUMBER = re.compile(r"([-−]?)((?=[.,]?[0-9])[0-9., '’\u00a0\u202f]+)")
_SMALL_SEPARATORS = " '’\u00a0\u202f"


class AmbiguousNumber(ValidationError):
    """A typed number can be read in two ways. Its text is the sentence for its field."""


def plain_number(text: str, mark: str) -> str:
    """Returns a typed number as Python reads one: “1,500.5” becomes “1500.5”. Other text is returned as it is.

    mark: the decimal mark of the shop's locale, “.” or “,”. The other one of the two separates thousands where
    exactly three digits follow it, as blanks and apostrophes do. Where it can be nothing else, it is a decimal mark
    too: “12,5”, “0,125”. Raises AmbiguousNumber with a sentence for what is still ambiguous, such as “1500,250”.
    """
    found = _NUMBER.fullmatch(text.strip())
    if found is None:
        return text.strip()
    sign, digits = found[1].replace("−", "-"), found[2].strip()
    other = "," if mark == "." else "."
    grouped = rf"[1-9][0-9]{{0,2}}([{other}{_SMALL_SEPARATORS}])(?:[0-9]{{2,3}}\1)*[0-9]{{3}}(?:\{mark}[0-9]*)?"
    if separated := re.fullmatch(grouped, digits):
        return sign + digits.replace(separated[1], "").replace(mark, ".")
    if re.fullmatch(rf"[0-9]*\{mark}?[0-9]*", digits):
        return sign + digits.replace(mark, ".")
    if re.fullmatch(rf"0?\{other}[0-9]+|[0-9]*\{other}(?![0-9]{{3}}$)[0-9]*", digits):
        return sign + digits.replace(other, ".")
    if {mark, other} <= set(digits) or re.search(rf"\{other}[0-9]{{3}}$", digits):
        raise AmbiguousNumber(enter_without_separators(mark))
    return text.strip()
