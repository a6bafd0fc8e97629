"""Rows of a statement as dataclasses: each field is read by its name, from the column that was given for it."""

from collections.abc import Mapping
from dataclasses import MISSING, Field, fields
from operator import itemgetter
from typing import Any, Generic, TypeVar

from sqlalchemy import Result, Row, Select, select
from sqlalchemy.orm import InstrumentedAttribute, Session

R = TypeVar("R")


class RowReader(Generic[R]):
    """Selects a column, or a whole table, for each field of a dataclass, and builds it from what is found.

    Fields that have a default may be left out; `build` takes them by name. Raises TypeError, so when the module is
    imported, where a field has no column, a column has no field, or two fields read each other's columns.
    """

    def __init__(self, row_class: type[R], /, **columns: Any) -> None:
        of_class = fields(row_class)  # type: ignore[arg-type]  # a type[R] is not known to be a dataclass
        _check_names(row_class, of_class, columns)
        _check_columns(row_class, columns)
        self.row_class = row_class
        self.columns: tuple[Any, ...] = tuple(_labelled(name, column) for name, column in columns.items())
        # Values are fetched by name in the order of the fields, which is what the constructor takes fastest.
        in_order = [field.name for field in of_class if field.name in columns]
        self._values = itemgetter(*(_key(name, columns[name]) for name in in_order))

    def select(self, *more: Any) -> Select[*tuple[Any, ...]]:
        """All columns of the dataclass; more: what else the statement selects."""
        return select(*self.columns, *more)

    def read(self, session: Session, found: Select[*tuple[Any, ...]], **values: Any) -> list[R]:
        """All rows. values: of the parameters of a statement that was built once."""
        return self.read_all(session.execute(found, values))

    def read_all(self, result: Result[*tuple[Any, ...]]) -> list[R]:
        make, values = self.row_class, self._values
        return [make(*values(row)) for row in result.mappings()]

    def build(self, row: Row[*tuple[Any, ...]], **more: Any) -> R:
        """One row. more: fields that are not read from it, by name."""
        return self.row_class(*self._values(row._mapping), **more)


def combined_columns(*readers: RowReader[Any]) -> list[Any]:
    """The columns of several dataclasses that are built from one statement, each name once. Raises TypeError where
    a name means two columns."""
    every: dict[str, Any] = {}
    for label in (label for reader in readers for label in reader.columns):
        known = every.setdefault(label.name, label)
        if not known.element.compare(label.element):
            raise TypeError(f"Two columns are called {label.name}.")
    return list(every.values())


def _check_names(row_class: type, of_class: tuple[Field[Any], ...], columns: Mapping[str, Any]) -> None:
    """Raises TypeError unless exactly the first fields of the class have a column, and the others have a
    default."""
    read, rest = of_class[: len(columns)], of_class[len(columns) :]
    if {field.name for field in read} != set(columns) or len(columns) < 2:
        names = ", ".join(field.name for field in of_class)
        raise TypeError(f"The columns {', '.join(columns)} are not those of {row_class.__name__}: {names}.")
    if forgotten := [field.name for field in rest if field.default is MISSING and field.default_factory is MISSING]:
        raise TypeError(f"{row_class.__name__} has no column for {', '.join(forgotten)}.")
    if any(field.kw_only or not field.init for field in read):
        raise TypeError(f"{row_class.__name__} has fields that it does not take by position.")


def _check_columns(row_class: type, columns: Mapping[str, Any]) -> None:
    """Raises TypeError when two fields read one column, or when the columns of two fields are swapped."""
    plain = {name: column for name, column in columns.items() if isinstance(column, InstrumentedAttribute)}
    if len({(column.class_, column.key) for column in plain.values()}) < len(plain):
        raise TypeError(f"Two fields of {row_class.__name__} read the same column.")
    swapped = [name for name, column in plain.items() if column.key != name and _is_foreign(column.key, plain)]
    if swapped:
        raise TypeError(f"{row_class.__name__}.{swapped[0]} reads the column of {plain[swapped[0]].key}.")


def _is_foreign(name: str, plain: Mapping[str, InstrumentedAttribute[Any]]) -> bool:
    """Returns whether the field with this name reads a column that has a different name."""
    return name in plain and plain[name].key != name


def _labelled(name: str, column: Any) -> Any:
    """A table has no label: it is found by its class."""
    return column if isinstance(column, type) else column.label(name)


def _key(name: str, column: Any) -> str:
    return column.__name__ if isinstance(column, type) else name
