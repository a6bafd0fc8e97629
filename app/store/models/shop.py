"""These tables store the shop's own settings, hours and staff."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.quoting.states import Finish
from app.store.types import STRICT, Base, EnumText, Json, enum_check


class SettingRow(Base):
    """A setting that differs from its default, or something that the program stores for itself."""

    __tablename__ = "setting"
    __table_args__ = (STRICT,)
    key: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[Any] = mapped_column(Json(), nullable=False)


class Counter(Base):
    """A number that grows with UPDATE … RETURNING: the last order number, and the versions of the board
    and of the shop."""

    __tablename__ = "counter"
    __table_args__ = (STRICT,)
    name: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[int]


class OpeningWeekday(Base):
    """The opening hours of a weekday, in minutes after local midnight; from 1440 on they are of the next date. On a
    weekday without a row, the shop is closed."""

    __tablename__ = "opening_weekday"
    __table_args__ = (
        CheckConstraint("weekday BETWEEN 0 AND 6", name="weekday"),
        CheckConstraint("opens BETWEEN 0 AND 1439 AND closes > opens AND closes <= opens + 1440", name="hours"),
        STRICT,
    )
    weekday: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    opens: Mapped[int]
    closes: Mapped[int]


class OpeningException(Base):
    """Other opening hours on one date; when both are empty, the shop is closed that day."""

    __tablename__ = "opening_exception"
    __table_args__ = (
        CheckConstraint("(opens IS NULL) = (closes IS NULL)", name="both"),
        CheckConstraint("opens BETWEEN 0 AND 1439 AND closes > opens AND closes <= opens + 1440", name="hours"),
        STRICT,
    )
    day: Mapped[date] = mapped_column(primary_key=True)
    opens: Mapped[int | None]
    closes: Mapped[int | None]


class ClosedDaysRow(Base):
    """Dates on which the shop is closed, both ends included. yearly: in every later year too."""

    __tablename__ = "closed_days"
    __table_args__ = (CheckConstraint("last >= first", name="range"), STRICT)
    id: Mapped[int] = mapped_column(primary_key=True)
    first: Mapped[date]
    last: Mapped[date]
    reason: Mapped[str]
    yearly: Mapped[bool]


class WeekdayShift(Base):
    """A shift on a weekday, in minutes after local midnight, with its number of staff; several on one day add up.
    From 1440 on the minutes are of the next date.

    On a weekday without any, one person works while the shop is open.
    """

    __tablename__ = "weekday_shift"
    __table_args__ = (
        CheckConstraint("weekday BETWEEN 0 AND 6", name="weekday"),
        CheckConstraint("starts BETWEEN 0 AND 2879 AND ends > starts AND ends <= starts + 1440", name="hours"),
        CheckConstraint("staff >= 0", name="staff"),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    weekday: Mapped[int] = mapped_column(index=True)
    starts: Mapped[int]
    ends: Mapped[int]
    staff: Mapped[int]


class DayShift(Base):
    """A shift on one date; those of a date replace those of its weekday. One with 0 staff means that nobody is
    there."""

    __tablename__ = "day_shift"
    __table_args__ = (
        CheckConstraint("starts BETWEEN 0 AND 2879 AND ends > starts AND ends <= starts + 1440", name="hours"),
        CheckConstraint("staff >= 0", name="staff"),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    day: Mapped[date] = mapped_column(index=True)
    starts: Mapped[int]
    ends: Mapped[int]
    staff: Mapped[int]


class StaffMember(Base):
    """A person who works in the shop, and whose name stands in the history."""

    __tablename__ = "staff_member"
    __table_args__ = (STRICT,)
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)


class OfficeChange(Base):
    """Who changed what in the office, and when. subject: the thing that was changed, such as “settings” or
    “supply 3”. changes: [[field, label, before, after], …]; a setting has its values as they are saved, all else as
    the form shows it."""

    __tablename__ = "office_change"
    __table_args__ = (STRICT,)
    id: Mapped[int] = mapped_column(primary_key=True)
    at: Mapped[datetime]
    who: Mapped[str]
    subject: Mapped[str] = mapped_column(index=True)
    changes: Mapped[Any] = mapped_column(Json(), nullable=False)


class OwnColour(Base):
    """How a balloon of this colour looks in this shop. key: the name as it is looked up. fill: as “#c8102e”."""

    __tablename__ = "own_colour"
    __table_args__ = (
        enum_check("finish", Finish),
        CheckConstraint("length(fill) = 7 AND substr(fill, 1, 1) = '#'", name="fill"),
        STRICT,
    )
    key: Mapped[str] = mapped_column(primary_key=True)
    name: Mapped[str]
    fill: Mapped[str]
    finish: Mapped[Finish] = mapped_column(EnumText(Finish))
