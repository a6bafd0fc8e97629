"""This module has what the running program remembers for the health page. Nothing of it is stored."""

from dataclasses import dataclass
from datetime import datetime


@dataclass
class StoreNotes:
    """When things happened to the database since the program started; None for what did not happen.

    opened_at: first opened. checked_at: every page of the file was read and found sound; damaged_at: the last
    reading found damage. written_at: a press or a form was saved. failed_at, failed_request: the last error of the
    database, and the number of its request. backed_up_at: the newest backup in its folder.
    """

    opened_at: datetime | None = None
    checked_at: datetime | None = None
    damaged_at: datetime | None = None
    written_at: datetime | None = None
    failed_at: datetime | None = None
    failed_request: str = ""
    backed_up_at: datetime | None = None


@dataclass
class PlannerNotes:
    """When the planner last found the plan good or saved a new one, and when it failed since; None for never."""

    looked_at: datetime | None = None
    failed_at: datetime | None = None
