"""What every form of the shop can do: say what is wrong, at its field and in one list, and where the focus goes."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, ClassVar

from wtforms import FieldList, Form, FormField, RadioField
from wtforms.meta import DefaultMeta
from wtforms.widgets import HiddenInput

from app.quoting.errors import Problem
from app.web.formats import NO_BREAK_SPACE
from app.web.forms.drawn import CheckedForm
from app.web.requests import request_context


@dataclass(frozen=True, slots=True)
class ShownProblem:
    """A sentence of a form. target: the id of its field on the page, empty where it has none there."""

    label: str
    sentence: str
    target: str


class ShopMeta(DefaultMeta):
    """suffix: which one of several equal forms on a page this is; it ends the name and the id of each field, as in
    `count-12`. id_suffix: the same, where only the id says it."""

    csrf = False
    suffix = ""
    id_suffix = ""

    def bind_field(self, form: Any, unbound_field: Any, options: Any) -> Any:
        field = super().bind_field(form, unbound_field, options)
        if self.suffix:
            field.name = f"{field.name}-{self.suffix}"
        if ends := self.suffix or self.id_suffix:
            field.id = field.label.field_id = f"{field.id}-{ends}"
        return field


class ShopForm(CheckedForm, Form):
    """A form of the shop. A field holds what was typed in `data`, and what that means in `value` once validated."""

    Meta = ShopMeta
    field_names: ClassVar[Mapping[str, str]] = {}
    """The field, by the name that an action gives to it where that is another one."""

    def __init__(
        self,
        formdata: Any = None,
        obj: Any = None,
        prefix: str = "",
        *,
        suffix: str | int = "",
        id_suffix: str | int = "",
        **kwargs: Any,
    ) -> None:
        meta = dict(kwargs.pop("meta", None) or {}) | {"suffix": str(suffix), "id_suffix": str(id_suffix)}
        super().__init__(formdata, obj, prefix, meta=meta, **kwargs)

    def uses_field(self, _name: str) -> bool:
        """Returns whether the form uses this field, given what is chosen; other fields are not read."""
        return True

    def add_problems(self, problems: Iterable[Problem], field_names: Mapping[str, str] | None = None) -> None:
        """Adds each problem of an action to the field that it names, or to the form if it names none."""
        show_problems(self, problems, self.field_names if field_names is None else field_names)

    def move_errors_to_form(self) -> None:
        """Moves the errors of all fields to the form, for a page that no longer shows the fields."""
        for field in self:
            self.form_errors += field.errors
            field.errors = []

    @property
    def problems(self) -> list[ShownProblem]:
        """Every sentence, in the order of the fields; what stands at no field comes first."""
        return [*(ShownProblem("", str(sentence), "") for sentence in self.form_errors), *_problems_of(self)]

    @property
    def focus_target(self) -> str:
        """The id of the first wrong field; empty where none is wrong."""
        return _first_target(self.problems)


class FormGroup(CheckedForm):
    """Several forms that are sent and refused together, with one summary. forms: each with the label of its
    sentences; an empty one leaves the label of the field."""

    def __init__(self, forms: Iterable[tuple[str, ShopForm]]) -> None:
        self.forms = [*forms]
        self.form_errors: list[str] = []

    def validate(self) -> bool:
        return all([form.validate() for _, form in self.forms])

    @property
    def problems(self) -> list[ShownProblem]:
        found = [ShownProblem("", sentence, "") for sentence in self.form_errors]
        for label, form in self.forms:
            found += [replace(one, label=label or one.label) for one in form.problems]
        return found

    @property
    def focus_target(self) -> str:
        """The id of the first wrong field; empty where none is wrong."""
        return _first_target(self.problems)


def _first_target(problems: Iterable[ShownProblem]) -> str:
    return next((problem.target for problem in problems if problem.target), "")


def target_of(field: Any) -> str:
    """The id of what takes the focus for a field; empty for one that nobody sees."""
    if isinstance(field.widget, HiddenInput):
        return ""
    if isinstance(field, RadioField):
        return next((f"{field.id}-{choice.value}".replace(" ", "-") for choice in field.choices or ()), "")
    return str(field.id)


def _problems_of(form: Any) -> Iterator[ShownProblem]:
    for field in form:
        label = field.label.text
        if isinstance(field, FormField):
            yield from (replace(one, label=label) for one in _problems_of(field.form))
        elif isinstance(field, FieldList):
            for number, entry in enumerate(field, 1):
                yield from _problems_of_row(entry, f"{label} {number}")
        else:
            yield from _at(field, label)


def _problems_of_row(entry: Any, row: str) -> Iterator[ShownProblem]:
    """Yields what is wrong in a row of a list; each label names the row, and its field if it has several."""
    if not isinstance(entry, FormField):
        yield from _at(entry, row)
        return
    for one in _problems_of(entry.form):
        yield replace(one, label=f"{row}, {one.label[:1].lower()}{one.label[1:]}" if one.label else row)


def _at(field: Any, label: str) -> Iterator[ShownProblem]:
    return (ShownProblem(label, str(sentence), target_of(field)) for sentence in field.errors)


def add_sentence(field: Any, sentence: object) -> None:
    """Adds a sentence at a field, in the shop's units."""
    field.errors = [*field.errors, in_shop_units(str(sentence))]


def in_shop_units(sentence: str) -> str:
    """Returns a sentence in the shop's units. One without a measure needs no request."""
    return request_context().formats.in_shop_units(sentence) if NO_BREAK_SPACE in sentence else sentence


def show_problems(form: Form, problems: Iterable[Problem], field_names: Mapping[str, str]) -> None:
    """Puts each problem at its field; `field_names` names the form's field if it is called differently.

    A field inside another is written with a dot. A problem without a field stands at the form.
    """
    for problem in problems:
        name = field_names.get(problem.field, problem.field)
        path = f"lines.{problem.line}.{name}" if problem.line is not None else name
        field = _field_at(form, path)
        if field is None:
            form.form_errors.append(in_shop_units(problem.sentence))
        else:
            add_sentence(field, problem.sentence)


def _field_at(form: Form, path: str) -> Any:
    """Returns the field at a path with dots; None when the form has no such field."""
    found: Any = form
    for name in path.split("."):
        inner = getattr(found, "form", found)
        try:
            found = inner[int(name)] if name.isdigit() else inner[name]
        except (KeyError, IndexError, TypeError):
            return None
    return found
