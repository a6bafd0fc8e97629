"""More or fewer staff on one date, because somebody is ill or helps out."""

from sqlalchemy.orm import Session

from app.actions.records.history import touch_board
from app.actions.records.shop import load_roster, load_shop
from app.actions.shop.office import ShiftMinutes, change_day_shifts
from app.planning.roster import StaffChange


def change_staff(session: Session, change: StaffChange) -> None:
    """Saves the change; the date has shifts of its own from then on, which the office can remove."""
    roster = change.made_in(load_roster(session, load_shop(session).opening))
    shifts = [
        ShiftMinutes(starts=starts, ends=ends, staff=hours.staff)
        for hours in roster.days[change.day]
        for starts, ends in (hours.minutes,)
    ]
    change_day_shifts(session, change.day, shifts)
    touch_board(session)
