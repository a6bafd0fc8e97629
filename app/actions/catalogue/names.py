"""Names of balloon types, supplies and designs, each unlike the others."""

from collections.abc import Iterable
from typing import Protocol

from app.quoting.errors import Problem

MAX_NAME_LENGTH = 60
NAME_LENGTH = f"Enter a name of 1 to {MAX_NAME_LENGTH} letters."
NAME_TAKEN = "{name} exists already. Enter another name."


class NamedRow(Protocol):
    """A row with an id and a name."""

    id: int
    name: str


def tidy_name(name: str) -> str:
    """Returns the name with single spaces."""
    return " ".join(name.split())


def name_problems(name: str, own_id: int | None, others: Iterable[NamedRow]) -> list[Problem]:
    """Returns what is wrong with a name, such as another row that has it already. name: tidied. own_id: of the row
    that is to have the name; None for a new one."""
    if not 1 <= len(name) <= MAX_NAME_LENGTH:
        return [Problem("name", NAME_LENGTH)]
    taken = (one.name for one in others if one.id != own_id and one.name.casefold() == name.casefold())
    return [Problem("name", NAME_TAKEN.format(name=same)) for same in taken]
