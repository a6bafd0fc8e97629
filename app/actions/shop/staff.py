"""More or fewer staff on one date, because somebody is ill or helps out."""

from sqlalchemy.orm import Session

from app.actions.records.history import touch_board
from app.actions.records.shop import load_roster, load_shop
from app.actions.shop.office import ShiftMinutes, change_day_shifts
from app.planning.roster import ShiftHours, StaffChange


def change_staff(session: Session, change: StaffChange) -> None:
    """Saves the change; the date has shifts of its own from then on, which the office can remove."""
    roster = change.made_in(load_roster(session, load_shop(session).opening))
    change_day_shifts(session, change.day, [_as_minutes(hours) for hours in roster.days[change.day]])
    touch_board(session)


def _as_minutes(hours: ShiftHours) -> ShiftMinutes:
    """Returns a shift as it is stored."""
    starts, ends = hours.minutes
    return ShiftMinutes(starts=starts, ends=ends, staff=hours.staff)
