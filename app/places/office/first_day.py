"""Office: the list of the steps of the first day, and how far each is."""

from dataclasses import dataclass

from flask import Blueprint, render_template, session

from app.quoting.missing import Missing
from app.quoting.settings.all_settings import SETTINGS
from app.store.queries.first_day import has_orders, was_changed
from app.web.first_day import SEEN
from app.web.guide import STEPS, GuideStep
from app.web.requests import request_context
from app.web.templates import missing_of_shop

NEEDED = {
    "name": ("name", "address", "phone"),
    "zone": ("zone",),
    "staff": ("staff",),
    "prices": ("prices",),
    "cylinders": ("cylinders",),
    "backups": ("backups",),
}
"""What of the missing things each step asks for. The others have a value from the start, or need none."""


@dataclass(frozen=True, slots=True)
class StepState:
    """A step of the list. lacks: what of it is still missing. is_assumed: whether the shop has a value that nobody
    entered, or none that it needs."""

    step: GuideStep
    lacks: tuple[str, ...]
    is_assumed: bool

    @property
    def state(self) -> str:
        """How far it is, for programs."""
        return "missing" if self.lacks else "assumed" if self.is_assumed else "done"


def step_states(missing: Missing, *, own: frozenset[str]) -> list[StepState]:
    """Returns how far each step is. own: the keys of steps of which the shop has something of its own."""
    return [
        StepState(
            step,
            tuple(thing for thing in missing.things if thing in NEEDED.get(step.key, ())),
            step.key not in NEEDED and step.key not in own,
        )
        for step in STEPS
    ]


def register(office: Blueprint) -> None:
    """Registers the list of steps."""
    office.get("/start")(first_day)


def first_day() -> str:
    """Shows the steps, and which come first."""
    session[SEEN] = "y"
    here, missing = request_context(), missing_of_shop()
    states = step_states(missing, own=_own_things())
    open_steps = [one.step for one in states if one.state == "missing"]
    return render_template(
        "office/first_day.html",
        states=states,
        missing=missing,
        first=next(iter(open_steps), None),
        is_new=not has_orders(here.session),
    )


def _own_things() -> frozenset[str]:
    """Returns the keys of the steps that need nothing and of which the shop has something of its own."""
    here = request_context()
    money = next(step for step in STEPS if step.key == "money").settings
    has = {
        "hours": was_changed(here.session, "hours"),
        "money": any(here.shop.display[one.key] != one.default for one in SETTINGS if one.key in money),
        "design": any(row.archived_at is None for row in here.catalogue.designs.values()),
    }
    return frozenset(key for key, is_own in has.items() if is_own)
