from datetime import UTC, date, datetime, timedelta, timezone
from enum import StrEnum
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import CheckConstraint, ForeignKey, Integer, LargeBinary, MetaData, inspect, select, text
from sqlalchemy.dialects import sqlite
from sqlalchemy.exc import DatabaseError, IntegrityError, StatementError
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

from app.quoting.states import OrderState
from app.store.models import Order
from app.store.types import STRICT, Base, DateColumn, EnumText, Flag, Json, Real, UtcSeconds, enum_check
from tests.actions.builders import order_request, take


class TrialBase(DeclarativeBase):
    metadata = MetaData(naming_convention=Base.metadata.naming_convention)
    type_annotation_map = Base.type_annotation_map


class Trial(TrialBase):
    __tablename__ = "trial"
    __table_args__ = (CheckConstraint("is_paid IN (0, 1)", name="paid"), STRICT)
    id: Mapped[int] = mapped_column(primary_key=True)
    at: Mapped[datetime | None] = mapped_column(index=True)
    day: Mapped[date | None] = mapped_column(unique=True)
    is_paid: Mapped[bool]
    litres: Mapped[float] = mapped_column(default=0.0)
    note: Mapped[str] = mapped_column(default="")
    photo: Mapped[bytes] = mapped_column(default=b"")
    terms: Mapped[object] = mapped_column(Json, nullable=True)
    parent_id: Mapped[int | None] = mapped_column(ForeignKey("trial.id"))


@pytest.fixture
def trials(store):
    with store.writing() as session:
        TrialBase.metadata.create_all(session.connection())
    return store


def _saved(trials, **values):
    with trials.writing() as session:
        session.add(Trial(id=1, **{"is_paid": False, **values}))
    with trials.reading() as session:
        return session.scalars(select(Trial)).one()


def _stored(trials, column):
    with trials.reading() as session:
        return session.execute(text(f"SELECT {column} FROM trial")).scalar_one()


def test_everything_comes_back_as_it_went_in(trials):
    row = _saved(
        trials,
        at=datetime(2026, 6, 20, 21, 30, tzinfo=UTC),
        day=date(2026, 6, 20),
        is_paid=True,
        litres=14.123456789012345,
        note="Zoë’s 🎈",
        photo=b"\x00\xff",
        terms={"ü": [1, 2.5, None, True], "a": "\x00"},
    )
    assert (row.at, row.day, row.is_paid) == (
        datetime(2026, 6, 20, 21, 30, tzinfo=UTC),
        date(2026, 6, 20),
        True,
    )
    assert (row.litres, row.note, row.photo) == (14.123456789012345, "Zoë’s 🎈", b"\x00\xff")
    assert row.terms == {"ü": [1, 2.5, None, True], "a": "\x00"}
    assert row.is_paid is True
    assert row.at.tzinfo is UTC


def test_nothing_is_kept_as_null(trials):
    row = _saved(trials, at=None, day=None, terms=None)
    assert (row.at, row.day, row.terms) == (None, None, None)
    assert _stored(trials, "terms") is None


@pytest.mark.parametrize(
    ("moment", "seconds"),
    [
        (datetime(1970, 1, 1, tzinfo=UTC), 0),
        (datetime(1969, 12, 31, 23, 59, 59, tzinfo=UTC), -1),
        (datetime(2026, 10, 25, 2, 30, tzinfo=ZoneInfo("Europe/Berlin"), fold=0), 1_792_888_200),
        (datetime(2026, 10, 25, 2, 30, tzinfo=ZoneInfo("Europe/Berlin"), fold=1), 1_792_891_800),
        (datetime(2106, 2, 7, 6, 28, 16, tzinfo=UTC), 2**32),
    ],
)
def test_a_moment_is_stored_as_seconds_of_utc(trials, moment, seconds):
    assert _saved(trials, at=moment).at == moment.astimezone(UTC)
    assert _stored(trials, "at") == seconds


@given(st.datetimes(timezones=st.timezones()))
def test_any_moment_loses_no_more_than_its_fraction(moment):
    column, dialect = UtcSeconds(), sqlite.dialect()
    back = column.process_result_value(column.process_bind_param(moment, dialect), dialect)
    assert timedelta(0) <= moment - back < timedelta(seconds=1)


def test_moments_sort_and_compare_in_a_query(trials):
    _saved(trials, at=datetime(2026, 6, 20, 21, 30, tzinfo=timezone(timedelta(hours=2))))
    with trials.reading() as session:
        before = select(Trial.id).where(Trial.at < datetime(2026, 6, 20, 19, 30, 1, tzinfo=UTC))
        after = select(Trial.id).where(Trial.at < datetime(2026, 6, 20, 19, 30, tzinfo=UTC))
        assert (session.scalars(before).all(), session.scalars(after).all()) == ([1], [])


@pytest.mark.parametrize(
    "wrong",
    [
        {"at": datetime(2026, 6, 20, 21, 30)},
        {"day": datetime(2026, 6, 20, tzinfo=UTC)},
        {"is_paid": 1},
        {"terms": float("nan")},
    ],
    ids=lambda wrong: next(iter(wrong)),
)
def test_a_value_of_the_wrong_sort_is_refused(sqlite_store, wrong):
    with sqlite_store.writing() as session:
        TrialBase.metadata.create_all(session.connection())
    with pytest.raises(StatementError) as caught:
        _saved(sqlite_store, **wrong)
    assert isinstance(caught.value.orig, ValueError)


def test_json_is_sorted_and_legible(trials):
    _saved(trials, terms={"b": "größer", "a": 1})
    assert _stored(trials, "terms") == '{"a":1,"b":"größer"}'


def test_a_flag_is_a_number_in_the_table(trials):
    _saved(trials, is_paid=True)
    assert _stored(trials, "is_paid") == 1


@pytest.mark.parametrize(
    ("condition", "found"),
    [
        (Trial.is_paid == True, [1]),  # noqa: E712
        (Trial.is_paid == False, []),  # noqa: E712
        (Trial.is_paid != True, []),  # noqa: E712
        (Trial.is_paid.is_(True), [1]),
        (Trial.is_paid.is_not(True), []),
        (Trial.is_paid.in_([False]), []),
        (Trial.is_paid.is_(None), []),
    ],
    ids=str,
)
def test_a_flag_can_be_asked_for_in_a_query(trials, condition, found):
    _saved(trials, is_paid=True)
    with trials.reading() as session:
        assert session.scalars(select(Trial.id).where(condition)).all() == found


def test_a_strict_table_refuses_text_in_a_number_column(sqlite_store):
    with sqlite_store.writing() as session:
        TrialBase.metadata.create_all(session.connection())
    _saved(sqlite_store)
    with (
        pytest.raises(DatabaseError, match=r"TEXT .*INTEGER"),
        sqlite_store.writing() as session,
    ):
        session.execute(text("UPDATE trial SET at = 'noon'"))


def test_constraints_have_predictable_names(trials):
    with trials.engine.connect() as connection:
        facts = inspect(connection)
        names = {
            facts.get_pk_constraint("trial")["name"],
            *(found["name"] for found in facts.get_check_constraints("trial")),
            *(found["name"] for found in facts.get_unique_constraints("trial")),
            *(found["name"] for found in facts.get_foreign_keys("trial")),
            *(found["name"] for found in facts.get_indexes("trial") if not found.get("duplicates_constraint")),
        }
    assert names == {"pk_trial", "ck_trial_paid", "uq_trial_day", "fk_trial_parent_id_trial", "ix_trial_at"}


def test_annotations_choose_types_that_strict_tables_take():
    chosen = {column.name: type(column.type) for column in Trial.__table__.columns}
    assert (chosen["at"], chosen["day"], chosen["is_paid"]) == (UtcSeconds, DateColumn, Flag)
    assert (chosen["id"], chosen["litres"], chosen["photo"]) == (Integer, type(Real), LargeBinary)


class Colour(StrEnum):
    RED = "red"
    DARK_BLUE = "dark blue"


@pytest.mark.parametrize("word", Colour)
def test_one_of_a_few_words_comes_back_as_itself(word):
    column = EnumText(Colour)
    assert column.process_bind_param(word.value, sqlite.dialect()) == word.value
    assert column.process_result_value(word.value, sqlite.dialect()) is word


def test_another_word_is_neither_stored_nor_asked_for(session):
    with pytest.raises(StatementError, match=r"'opn' .*OrderState"):
        session.scalars(select(Order.number).where(Order.state == "opn")).all()


def test_the_words_of_a_check_are_those_of_the_enum():
    check = enum_check("colour", Colour)
    assert (check.name, str(check.sqltext)) == ("colour", "colour IN ('red', 'dark blue')")


def test_every_column_of_words_has_its_check():
    for table in Base.metadata.tables.values():
        checks = {
            check.name: str(check.sqltext) for check in table.constraints if isinstance(check, CheckConstraint)
        }
        for column in table.columns:
            if isinstance(column.type, EnumText):
                expected = str(enum_check(column.name, column.type.words).sqltext)
                assert checks[f"ck_{table.name}_{column.name}"] == expected


def test_the_state_of_an_order_is_checked_by_the_database_itself(session, catalogue):
    take(session, order_request(catalogue))
    session.flush()
    assert session.scalar(select(Order.state)) is OrderState.OPEN
    with pytest.raises(IntegrityError, match="ck_orders_state"):
        session.execute(text("UPDATE orders SET state = 'opn'"))
