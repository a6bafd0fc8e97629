"""Every sentence that an order form has at its fields, with the label of each field."""

from collections.abc import Iterator

from wtforms import FieldList, Form, FormField

ROWS = {"lines": "Line", "extras": "Add-on"}
"""What one row of a list is called."""


def labelled_errors(form: Form) -> list[tuple[str, str]]:
    """Top down; what stands at no field comes first."""
    return [*(("", sentence) for sentence in form.form_errors), *_labelled(form)]


def _labelled(form: Form) -> Iterator[tuple[str, str]]:
    for field in form:
        if isinstance(field, FormField):
            yield from ((field.label.text, error) for part in field.form for error in part.errors)
        elif isinstance(field, FieldList):
            for number, row in enumerate(field, 1):
                label = f"{ROWS[field.name]} {number}"
                yield from ((label, error) for part in row.form for error in part.errors)
        else:
            yield from ((field.label.text, error) for error in field.errors)
