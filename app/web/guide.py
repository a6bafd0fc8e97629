"""The steps of a shop's first day. Each is a page of the app, shown with a band that leads on; what it saves is
saved by that page's own form."""

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlsplit

from flask import request, url_for

GUIDE = "guide"
"""The name under which pages and forms carry the step that they are shown for."""
PLACES_WITH_STEPS = ("office", "staff")


@dataclass(frozen=True, slots=True)
class GuideStep:
    """A step. endpoint, arguments: its page. settings: those that it shows, of a page of settings. stays: forms
    after which it goes on being shown."""

    key: str
    title: str
    endpoint: str
    arguments: tuple[tuple[str, str], ...] = ()
    settings: tuple[str, ...] = ()
    stays: tuple[str, ...] = ()

    @property
    def address(self) -> str:
        """The address of its page, which carries the step."""
        values: dict[str, Any] = {**dict(self.arguments), GUIDE: self.key}
        return url_for(self.endpoint, **values)


_SETTINGS = "office.settings_of_subject"
_SHOP, _UNITS = (("subject", "shop"),), (("subject", "units"),)
STEPS = (
    GuideStep("name", "Name and address", _SETTINGS, _SHOP, ("name", "shop_address", "shop_phone")),
    GuideStep("zone", "Time zone", _SETTINGS, _SHOP, ("zone",)),
    GuideStep(
        "money",
        "Currency and country",
        _SETTINGS,
        _UNITS,
        ("currency_symbol", "locale", "currency_code", "currency_decimals"),
    ),
    GuideStep("hours", "Opening hours", "office.hours", stays=("office.save_exception", "office.remove_exception")),
    GuideStep("staff", "Staff", "staff.choose", stays=("staff.add", "staff.choose_look")),
    GuideStep("prices", "Prices", "office.balloon_type_prices"),
    GuideStep("design", "A first design", "office.new_design"),
    GuideStep("cylinders", "Helium cylinders", "office.new_cylinder"),
    GuideStep("backups", "Backups", "office.backups", stays=("office.back_up_now",)),
)
"""In the order in which they are asked."""


@dataclass(frozen=True, slots=True)
class Guided:
    """A step that is shown now. before: the address of the one before it, else of the list; after: likewise."""

    step: GuideStep
    number: int
    before: str
    after: str

    @property
    def of(self) -> int:
        """How many steps there are."""
        return len(STEPS)


def guided() -> Guided | None:
    """Returns the step for which this page is shown, or from which its form was sent; None outside of them."""
    if request.blueprint not in PLACES_WITH_STEPS:
        return None
    key = request.form.get(GUIDE) or request.args.get(GUIDE)
    place = next((place for place, step in enumerate(STEPS) if step.key == key), None)
    if place is None:
        return None
    overview = url_for("office.first_day")
    before = STEPS[place - 1].address if place else overview
    after = STEPS[place + 1].address if place + 1 < len(STEPS) else overview
    return Guided(STEPS[place], place + 1, before, after)


def address_after(saved: str) -> str:
    """Returns where the browser goes after a save: on to the next step if the form was sent from one, else where
    the form's page leads."""
    found = guided() if request.method == "POST" else None
    if found is None:
        return saved
    if request.endpoint not in found.step.stays:
        return found.after
    parts = urlsplit(saved)
    return parts._replace(query="&".join(filter(None, (parts.query, f"{GUIDE}={found.step.key}")))).geturl()
