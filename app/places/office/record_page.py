"""What the pages of kinds and supplies do alike."""

from collections.abc import Mapping
from typing import Any

from flask import Response, make_response, render_template

from app.quoting.errors import Refused
from app.web.requests import request_context


def plain(minor: int | None) -> str:
    """Money as it is typed; empty for None."""
    return "" if minor is None else request_context().formats.amount(minor)


def problems_by_field(refused: Refused | None, names: Mapping[str, str]) -> dict[str, str]:
    """Sentences; names: of the fields that are called otherwise in the form."""
    display: dict[str, str] = {}
    for problem in refused.problems if refused else ():
        field = names.get(problem.field, problem.field)
        display[field] = f"{display[field]} {problem.sentence}" if field in display else problem.sentence
    return display


def page(template: str, refused: Refused | None, **shown: Any) -> Response:
    return make_response(render_template(template, **shown), 422 if refused else 200)
