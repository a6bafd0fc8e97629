"""What a person must correct before an order, or anything else typed, can be saved."""

from dataclasses import dataclass

NO_LONGER_SOLD = "The shop no longer sells this. Choose another."


@dataclass(frozen=True, slots=True)
class Problem:
    """A sentence for a person, at a field of the form; `line` counts from 0 for a field of an order line."""

    field: str
    sentence: str
    line: int | None = None


class Refused(Exception):
    """The data cannot be accepted; each problem says at its field what is wrong and what would be right."""

    def __init__(self, *problems: Problem) -> None:
        super().__init__("; ".join(problem.sentence for problem in problems))
        self.problems = problems
