"""A form of something stored: the older of two pages is refused, and what is saved goes into the history."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import replace
from functools import cached_property
from typing import Any, TypeVar

from flask import request

from app.actions.records.office_history import FieldChange, lock_office, office_history, write_office_history
from app.actions.shop.settings_history import SETTINGS_SUBJECT
from app.web.forms.drawn import (
    DRAWN,
    CheckedForm,
    Drawn,
    MeanwhileChange,
    changed_names,
    keep_typed,
    read_drawn,
    write_drawn,
)
from app.web.requests import request_context

Value = TypeVar("Value")


class StoredForm:
    """What is stored of one subject, as the fields of its form.

    read: returns the fields as they are stored now. only: the names of the fields that count; None: all.
    """

    def __init__(self, subject: str, read: Callable[[], Drawn], only: Collection[str] | None = None) -> None:
        self.subject, self._read_all, self._only = subject, read, only

    @cached_property
    def _before(self) -> Drawn:
        """The fields as they are stored when they are first asked for."""
        return self._read()

    def remember(self) -> None:
        """Reads what is stored, for a history that is written after a change that no form of its own makes."""
        _ = self._before

    def _read(self) -> Drawn:
        """Returns the fields that count as they are stored now."""
        return self._of_those(self._read_all())

    def _of_those(self, by_name: Mapping[str, Value]) -> dict[str, Value]:
        """Returns what belongs to the fields that count."""
        return {name: value for name, value in by_name.items() if self._only is None or name in self._only}

    @property
    def drawn(self) -> str:
        """The texts of the fields, as the hidden field has them."""
        return write_drawn(self._before)

    def draw(self, form: CheckedForm) -> None:
        """Puts into the form with what it is drawn, unless that is known."""
        if form.drawn is None:
            form.drawn = self.drawn

    def accepts(self, form: Any) -> bool:
        """Returns whether the form is valid and nobody has changed the subject since it was drawn. Otherwise the
        form says what was changed and keeps what was typed. Locks the office."""
        is_valid = bool(form.validate())
        return self.is_unchanged(form) and is_valid

    def is_unchanged(self, form: CheckedForm) -> bool:
        """Returns whether nobody has changed the subject since the form was drawn; as `accepts`, but without
        validating. What was not drawn by a page says nothing about it and counts as unchanged."""
        session, sent = request_context().session, request.form.get(DRAWN)
        lock_office(session)
        session.expire_all()  # what was read before the lock may be old
        before = self._before
        if sent is None:
            return True
        changes = keep_typed(form, self._of_those(read_drawn(sent)), before)
        if all(one.is_same for one in changes):  # as by a second press
            changes = []
        form.meanwhile = self._named(changes)
        form.drawn = self.drawn if form.meanwhile else sent
        return not form.meanwhile

    def write_history(self) -> None:
        """Adds what is different now to the history."""
        now, was = self._read(), {name: field.text for name, field in self._before.items()}
        changes = [self._change(name, now) for name in changed_names(was, now)]
        write_office_history(request_context().context, self.subject, changes)

    def _change(self, name: str, now: Drawn) -> FieldChange:
        """Returns the change of a field for the history."""
        before, after = self._before.get(name), now.get(name)
        label = (after or before or next(iter(now.values()))).label
        return name, label, before.shown if before else "", after.shown if after else ""

    def _named(self, changes: list[MeanwhileChange]) -> tuple[MeanwhileChange, ...]:
        """Returns the changes with who made them and when, as far as the history knows."""
        history = office_history(request_context().session, self.subject) if changes else []
        latest: dict[str, Any] = {}
        for entry in history:
            for name, _, _, after in entry.changes:
                latest.setdefault(name, (entry, after))
        return tuple(self._signed(one, *latest.get(one.name, (None, None))) for one in changes)

    def _signed(self, change: MeanwhileChange, entry: Any, after: Any) -> MeanwhileChange:
        """Returns the change with its entry's name and moment, if that entry made the field what it is now."""
        if entry is None or (self.subject != SETTINGS_SUBJECT and after != change.shown):
            return change
        here = request_context()
        return replace(change, who=entry.who, at=here.formats.short_moment(entry.at, here.context.today))
