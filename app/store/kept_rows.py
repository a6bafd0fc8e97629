"""Rows that are kept once they were made: it takes longer to make their values than to read them."""

from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any, Generic, TypeVar

from sqlalchemy import Dialect, Select
from sqlalchemy.orm import Session

from app.store.rows import RowReader

R = TypeVar("R")
Plain = tuple[Any, ...]
MOST_KEPT = 2000
MOST_OPEN = 1000
"""Of what is asked of all open orders."""


class KeptRows(Generic[R]):
    """Reads the rows of a reader. A row that is as it was is the same object as before, so nobody may change what
    it holds. most: how many are kept."""

    def __init__(self, reader: RowReader[R], most: int = MOST_KEPT) -> None:
        self._reader, self._most = reader, most
        self._makers: dict[str, Callable[[Plain], R]] = {}

    def read(self, session: Session, found: Select[*tuple[Any, ...]], **values: Any) -> list[R]:
        """Returns the rows of a statement that selects the columns of the reader and nothing else. values: of the
        parameters of a statement that was built once."""
        session.flush()  # as the session does before it reads
        connection = session.connection()
        result = connection.execute(found, values)
        if result.cursor is None:
            raise TypeError("The statement gives no rows.")
        make = self._makers.get(connection.dialect.name) or self._learn(
            connection.dialect, result.cursor.description
        )
        return [make(tuple(plain)) for plain in result.cursor.fetchall()]

    def _learn(self, dialect: Dialect, given: Sequence[Any]) -> Callable[[Plain], R]:
        """Returns the function that makes a row of what this database gives. given: what its driver says of the
        columns of the answer, the second of each being its type."""
        turns = [
            (one.name, one.type.dialect_impl(dialect).result_processor(dialect, said[1]) or _as_it_is)
            for one, said in zip(self._reader.columns, given, strict=True)
        ]

        @lru_cache(maxsize=self._most)
        def make(plain: Plain) -> R:
            values = {name: turn(value) for (name, turn), value in zip(turns, plain, strict=True)}
            return self._reader.row_class(**values)

        self._makers[dialect.name] = make
        return make


def _as_it_is(value: Any) -> Any:
    return value
