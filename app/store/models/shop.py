"""The shop's own figures, hours and people."""

from datetime import date
from typing import Any

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.store.types import STRICT, Base, Json


class SettingRow(Base):
    """A setting that differs from its default, and what the program keeps for itself."""

    __tablename__ = "setting"
    __table_args__ = (STRICT,)
    key: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[Any] = mapped_column(Json(), nullable=False)


class Counter(Base):
    """Numbers drawn with UPDATE … RETURNING: order numbers, and the version of the board."""

    __tablename__ = "counter"
    __table_args__ = (STRICT,)
    name: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[int]


class OpeningWeekday(Base):
    """Opening hours of a weekday, in minutes after local midnight; no row means closed."""

    __tablename__ = "opening_weekday"
    __table_args__ = (
        CheckConstraint("weekday BETWEEN 0 AND 6", name="weekday"),
        CheckConstraint("opens >= 0 AND opens < closes AND closes <= 1439", name="hours"),
        STRICT,
    )
    weekday: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    opens: Mapped[int]
    closes: Mapped[int]


class OpeningException(Base):
    """Other hours on one date; both empty means closed."""

    __tablename__ = "opening_exception"
    __table_args__ = (
        CheckConstraint("(opens IS NULL) = (closes IS NULL)", name="both"),
        CheckConstraint("opens >= 0 AND opens < closes AND closes <= 1439", name="hours"),
        STRICT,
    )
    day: Mapped[date] = mapped_column(primary_key=True)
    opens: Mapped[int | None]
    closes: Mapped[int | None]


class WeekdayShift(Base):
    """Hands at the bench on a weekday, in minutes after local midnight; several on one day add up. A weekday
    without any has one hand while the shop is open."""

    __tablename__ = "weekday_shift"
    __table_args__ = (
        CheckConstraint("weekday BETWEEN 0 AND 6", name="weekday"),
        CheckConstraint("starts >= 0 AND starts < ends AND ends <= 1439", name="hours"),
        CheckConstraint("staff >= 0", name="staff"),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    weekday: Mapped[int] = mapped_column(index=True)
    starts: Mapped[int]
    ends: Mapped[int]
    staff: Mapped[int]


class DayShift(Base):
    """The same on one date, in place of its weekday's; with no hands, nobody is there."""

    __tablename__ = "day_shift"
    __table_args__ = (
        CheckConstraint("starts >= 0 AND starts < ends AND ends <= 1439", name="hours"),
        CheckConstraint("staff >= 0", name="staff"),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    day: Mapped[date] = mapped_column(index=True)
    starts: Mapped[int]
    ends: Mapped[int]
    staff: Mapped[int]


class StaffMember(Base):
    __tablename__ = "staff_member"
    __table_args__ = (STRICT,)
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
