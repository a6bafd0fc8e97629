"""What a form was drawn with: sent back with it, so that nobody saves over what somebody else changed meanwhile."""

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from wtforms import FieldList, FormField
from wtforms.widgets import HiddenInput

DRAWN = "drawn"
"""The name of the hidden field with the texts with which a form was drawn."""
EFFECTS_SEEN = "effects_seen"
"""The name of the hidden field with the orders that get worse, once the page has said which they are."""


@dataclass(frozen=True, slots=True)
class DrawnField:
    """A field as it is filled in. text: as it is typed; shown: in words."""

    label: str
    text: str
    shown: str


Drawn = Mapping[str, DrawnField]
"""The fields of a form by name."""


@dataclass(frozen=True, slots=True)
class MeanwhileChange:
    """A field that somebody else changed after the form was drawn. target: its id on the page; typed: what the form
    has in it, where that was typed too. is_same: whether just that was typed here too. who, at: who changed it and
    when, in words; empty if it is not known."""

    name: str
    label: str
    shown: str
    typed: str | None = None
    target: str = ""
    is_same: bool = False
    who: str = ""
    at: str = ""


@dataclass(frozen=True, slots=True)
class Effects:
    """What saving would do to open orders. sentences: what becomes worse. numbers: of the orders that get worse.
    checked: how many open orders were calculated."""

    sentences: tuple[str, ...]
    numbers: tuple[int, ...]
    checked: int

    @property
    def seen(self) -> str:
        """The numbers as the page sends them back."""
        return " ".join(map(str, self.numbers))


class CheckedForm:
    """What a form of stored things says besides its problems."""

    drawn: str | None = None
    """The texts with which it was drawn; None for a form of nothing stored."""
    meanwhile: tuple[MeanwhileChange, ...] = ()
    effects: Effects | None = None
    is_stopped: bool = False
    """Whether somebody stopped what saving needs, so that it was not saved."""

    @property
    def refused_status(self) -> int:
        """The status of a page on which the form was not saved."""
        return 409 if self.meanwhile else 422


def drawn_fields(form: Any) -> dict[str, DrawnField]:
    """Returns the fields of a form, or of a group of forms, that a person sees."""
    return {field.name: DrawnField(label, _text(field), _shown(field)) for label, field in _labelled_fields(form)}


def write_drawn(fields: Drawn) -> str:
    """Returns the texts as the hidden field has them; empty fields are left out."""
    return json.dumps({name: field.text for name, field in fields.items() if field.text}, ensure_ascii=False)


def read_drawn(sent: str) -> dict[str, str]:
    """Returns the texts of a hidden field; nothing for one that cannot be read, so that all seems changed."""
    try:
        found = json.loads(sent)
    except (ValueError, RecursionError):
        return {}
    return {str(name): str(text) for name, text in found.items()} if isinstance(found, dict) else {}


def changed_names(was: Mapping[str, str], now: Drawn) -> list[str]:
    """Returns the names of the fields that are not as they were drawn."""
    names = dict.fromkeys((*now, *was))
    return [name for name in names if was.get(name, "") != (now[name].text if name in now else "")]


def keep_typed(form: Any, was: Mapping[str, str], now: Drawn) -> list[MeanwhileChange]:
    """Returns what changed meanwhile. A field that was typed here keeps its text; another one gets the new text."""
    _add_missing_rows(form, now)
    fields = dict(_by_name(form))
    return [_keep(name, fields.get(name), was.get(name, ""), now.get(name)) for name in changed_names(was, now)]


def _keep(name: str, field: Any, was: str, now: DrawnField | None) -> MeanwhileChange:
    """Returns the change of one field. field: None if the form has no field of that name."""
    label, text, shown = (now.label, now.text, now.shown) if now else (name, "", "")
    if field is None:
        return MeanwhileChange(name, label, shown)
    typed = _text(field)
    if typed in (was, text):
        field.data = text
        return MeanwhileChange(name, label, shown, target=field.id, is_same=typed == text)
    return MeanwhileChange(name, label, shown, _shown(field), field.id)


def _by_name(form: Any) -> Iterator[tuple[str, Any]]:
    """Yields each field that a person sees, by its name."""
    return ((field.name, field) for _, field in _labelled_fields(form))


def _labelled_fields(form: Any) -> Iterator[tuple[str, Any]]:
    """Yields each field that a person sees, with a label that also names its row or its form."""
    for label, one in getattr(form, "forms", [("", form)]):
        for field in one:
            yield from _leaves(field, _joined(label, field.label.text))


def _leaves(field: Any, label: str) -> Iterator[tuple[str, Any]]:
    """Yields the field, or those inside it."""
    if isinstance(field, FieldList):
        for number, entry in enumerate(field, 1):
            yield from _leaves(entry, f"{label} {number}")
    elif isinstance(field, FormField):
        for inner in field.form:
            yield from _leaves(inner, _joined(label, inner.label.text))
    elif not isinstance(field.widget, HiddenInput):
        yield label, field


def _joined(outer: str, inner: str) -> str:
    """Returns the label of a field inside another: “Part 2, how many”."""
    return f"{outer}, {inner[:1].lower()}{inner[1:]}" if outer else inner


def _text(field: Any) -> str:
    """Returns what the field holds, with plain line ends."""
    return "" if field.data is None else "\n".join(str(field.data).splitlines()).strip()


def _shown(field: Any) -> str:
    """Returns what the field holds, in words: the label of a choice, a number with its unit."""
    text = _text(field)
    choices = getattr(field, "choices", None) or ()
    if labels := [choice.label for choice in choices if str(choice.value) == text]:
        return str(labels[0])
    return str(getattr(field, "words", text))


def _add_missing_rows(form: Any, now: Drawn) -> None:
    """Adds rows to the lists of a form for what somebody else added, as far as it may have them."""
    for _, one in getattr(form, "forms", [("", form)]):
        for field in one:
            if isinstance(field, FieldList):
                _lengthen(field, now)


def _lengthen(rows: Any, now: Iterable[str]) -> None:
    """Adds empty rows until the list has a row for each name."""
    start = f"{rows.name}-"
    places = [name.removeprefix(start).partition("-")[0] for name in now if name.startswith(start)]
    last = max((int(place) for place in places if place.isdigit()), default=-1)
    while len(rows) <= last and (rows.max_entries is None or len(rows) < rows.max_entries):
        rows.append_entry()
