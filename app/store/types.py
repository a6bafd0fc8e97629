"""This module has the base of all models, and column types that STRICT tables of SQLite and PostgreSQL both
accept."""

import json
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from typing import Any, TypeVar

from sqlalchemy import (
    DOUBLE_PRECISION,
    REAL,
    BigInteger,
    BindParameter,
    CheckConstraint,
    ColumnElement,
    Dialect,
    Integer,
    LargeBinary,
    MetaData,
    Text,
    TypeDecorator,
    bindparam,
    literal,
    text,
)
from sqlalchemy.orm import DeclarativeBase
from sqlalchemy.sql import operators

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_DECODER = json.JSONDecoder()
STRICT: dict[str, Any] = {"sqlite_strict": True}

# PostgreSQL's REAL has only six digits.
Real: REAL[float] = REAL().with_variant(DOUBLE_PRECISION(), "postgresql")


T = TypeVar("T")


class ReadPlainly(TypeDecorator[T]):
    """A type whose values come from the database as they are stored, and are turned by one function each."""

    cache_ok = True

    def read(self, value: Any) -> T:
        """Returns the value of what is stored, which is not NULL."""
        raise NotImplementedError

    def process_result_value(self, value: Any, dialect: Dialect) -> T | None:
        return None if value is None else self.read(value)

    def result_processor(self, dialect: Dialect, coltype: object) -> Callable[[Any], T | None]:
        read = self.read
        return lambda value: None if value is None else read(value)


class UtcSeconds(ReadPlainly[datetime]):
    """A moment, stored as whole seconds of UTC since 1970; fractions of a second are dropped."""

    impl = BigInteger().with_variant(Integer(), "sqlite")
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> int | None:
        if value is None:
            return None
        if value.utcoffset() is None:
            raise ValueError(f"{value!r} has no time zone; only moments in a known zone are stored.")
        return (value - EPOCH) // timedelta(seconds=1)

    def read(self, value: int) -> datetime:
        return EPOCH + timedelta(seconds=value)


Moment = datetime | ColumnElement[datetime]
"""A moment, or the parameter of a statement that stands for one."""


def parameter(name: str) -> BindParameter[datetime]:
    """Returns the parameter of a statement that stands for a moment."""
    return bindparam(name, type_=UtcSeconds())


class Json(ReadPlainly[Any]):
    """A value of JSON, stored as text; None is NULL. A change inside the value is not noticed: assign a new
    value."""

    impl = Text()
    cache_ok = True

    def process_bind_param(self, value: Any, dialect: Dialect) -> str | None:
        if value is None:
            return None
        return json.dumps(value, sort_keys=True, ensure_ascii=False, allow_nan=False, separators=(",", ":"))

    def read(self, value: str) -> Any:
        found, end = _DECODER.raw_decode(value)
        if end < len(value):
            raise ValueError("There is more than one value of JSON.")
        return found


class DateColumn(ReadPlainly[date]):
    """A date, stored as YYYY-MM-DD."""

    impl = Text()
    cache_ok = True

    def process_bind_param(self, value: date | None, dialect: Dialect) -> str | None:
        if value is None:
            return None
        if isinstance(value, datetime):
            raise ValueError(f"{value!r} is a moment, not a day.")
        return value.isoformat()

    def read(self, value: str) -> date:
        return date.fromisoformat(value)


class Flag(ReadPlainly[bool]):
    """Yes or no, stored as 1 or 0. In a query write `flag == True` or `flag.is_(True)`, never only `flag`."""

    impl = Integer()
    cache_ok = True

    class Comparator(TypeDecorator.Comparator[bool], Integer.Comparator[bool]):
        """Compares with 1 or 0 instead of TRUE or FALSE, because PostgreSQL cannot compare an integer with TRUE."""

        def operate(self, op: operators.OperatorType, *other: Any, **kwargs: Any) -> Any:
            if other and isinstance(other[0], bool):
                plain = {operators.is_: operators.eq, operators.is_not: operators.ne}
                op, other = plain.get(op, op), (literal(other[0], Flag()),)
            return super().operate(op, *other, **kwargs)

    comparator_factory = Comparator

    def process_bind_param(self, value: bool | None, dialect: Dialect) -> int | None:
        if value is not None and not isinstance(value, bool):
            raise ValueError(f"{value!r} is neither True nor False.")
        return None if value is None else int(value)

    def read(self, value: int) -> bool:
        return bool(value)


S = TypeVar("S", bound=StrEnum)


class EnumText(ReadPlainly[S]):
    """One of the words of an enum, kept as text. Any other word raises ValueError before it reaches the table."""

    impl = Text()
    cache_ok = True

    def __init__(self, words: type[S]) -> None:
        super().__init__()
        self.words = words

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:
        return None if value is None else self.words(value).value

    def read(self, value: str) -> S:
        return self.words(value)


def enum_check(column: str, words: type[StrEnum]) -> CheckConstraint:
    """The column holds one of the words of the enum, in whatever way it is written."""
    listed = ", ".join(f"'{word}'" for word in words)
    return CheckConstraint(f"{column} IN ({listed})", name=column)


def only_where(condition: str) -> dict[str, Any]:
    """Returns what makes an index hold only the rows for which this is true. A query uses it only if it says the
    same with plain figures, not with parameters."""
    return {f"{database}_where": text(condition) for database in ("sqlite", "postgresql")}


class Base(DeclarativeBase):
    """The base of all models: it names constraints, and uses no type that a STRICT table refuses."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map = {  # noqa: RUF012  SQLAlchemy's own name and shape
        bool: Flag(),
        bytes: LargeBinary(),
        date: DateColumn(),
        datetime: UtcSeconds(),
        float: Real,
        int: Integer(),
        str: Text(),
    }
