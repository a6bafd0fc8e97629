"""Somebody is ill, or helps out: hands fewer or more on one date."""

from datetime import time

from sqlalchemy.orm import Session

from app.actions.records.history import touch_board
from app.actions.records.shop import load_roster, load_shop
from app.actions.shop.office import ShiftMinutes, change_day_shifts
from app.planning.roster import StaffChange


def change_staff(session: Session, change: StaffChange) -> None:
    """The date has shifts of its own from now on; the office can take them back."""
    roster = change.made_in(load_roster(session, load_shop(session).opening))
    shifts = [
        ShiftMinutes(_minutes(turn.start), _minutes(turn.end), turn.staff) for turn in roster.days[change.day]
    ]
    change_day_shifts(session, change.day, shifts)
    touch_board(session)


def _minutes(at: time) -> int:
    return at.hour * 60 + at.minute
