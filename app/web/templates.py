"""This module gives the templates the functions and words that they may use."""

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any, cast

from flask import Flask, current_app, g
from markupsafe import Markup, escape

from app.actions.money.payments import describe_payment
from app.actions.records.office_history import office_history
from app.quoting.missing import Entered, Missing, find_missing
from app.quoting.states import LateReason, OrderState
from app.store.models import OfficeChange
from app.store.queries.gas import has_cylinder
from app.store.queries.staff import has_staff
from app.web.colours import colours_in, counted_looks, shop_colour_look
from app.web.day_echo import day_echo
from app.web.drawings.float_strip import draw_slim
from app.web.drawn_once import drawn_once
from app.web.guide import guided
from app.web.help_links import help_address
from app.web.hours_echo import hours_echo
from app.web.htmx import page_above
from app.web.kept_templates import KeptTemplates
from app.web.office_parts import office_parts
from app.web.requests import StillaloftFlask, request_context
from app.web.setting_links import setting_address
from app.web.static_files import asset
from app.web.wording.bill import balance_of_row, balance_words, low_price_words, money_words
from app.web.wording.history import fill_reason_words, history_words
from app.web.wording.missing import cost_of_missing
from app.web.wording.order_state import CANNOT_BE_READY, state_of_order
from app.web.wording.orders import customer_act_words, order_act_words, person_name, tap_words
from app.web.wording.outcome import EVENT_OVER, FLOAT_VERDICTS, VERDICTS, float_verdict_words, worse_side
from app.web.wording.review import reason_words

MOST_CHANGES = 20
"""So many changes of one thing are shown."""


def register_template_globals(app: Flask) -> None:
    """Registers the functions and words that every template may use."""
    app.jinja_env.trim_blocks = True
    app.jinja_env.lstrip_blocks = True
    app.jinja_env.bytecode_cache = KeptTemplates(Path(app.root_path, app.template_folder or ""))
    app.jinja_env.globals.update(
        asset=asset,
        colours_in=colours_in,
        counted_looks=counted_looks,
        colour_look=shop_colour_look,
        day_echo=day_echo,
        draw_slim=draw_slim,
        drawn_once=drawn_once,
        help_address=help_address,
        hours_echo=hours_echo,
        tap_words=tap_words,
        order_act_words=order_act_words,
        worse_side=worse_side,
        guided=guided,
        fill_reason_words=fill_reason_words,
        history_words=history_words,
        customer_act_words=customer_act_words,
        person_name=person_name,
        backup_failure=_backup_failure,
        is_file_damaged=_is_file_damaged,
        office_changes=_office_changes,
        office_parts=office_parts,
        missing_of_shop=missing_of_shop,
        cost_of_missing=cost_of_missing,
        opens_next=opens_next,
        payment_words=describe_payment,
        balance_of_row=balance_of_row,
        setting_address=setting_address,
        state_of_order=state_of_order,
        late_reasons=tuple(LateReason),
        reason_words=reason_words,
        balance_words=balance_words,
        low_price_words=low_price_words,
        money_words=money_words,
        verdict_words=VERDICTS,
        float_words=FLOAT_VERDICTS,
        float_verdict_words=float_verdict_words,
        EVENT_OVER=EVENT_OVER,
        CANNOT_BE_READY=CANNOT_BE_READY,
        OrderState=OrderState,
        page_above=page_above,
    )
    app.jinja_env.filters["tag_attributes"] = _tag_attributes
    app.context_processor(_request_values)


def _tag_attributes(options: Mapping[str, object]) -> Markup:
    """Returns the attributes of a tag; one that is true has no value, one that is false or None is left out."""
    given = {name: value for name, value in options.items() if value is not None and value is not False}
    each = (f' {name}="{"" if value is True else escape(value)}"' for name, value in given.items())
    return Markup("".join(each))


def _backup_failure() -> str:
    """Returns why the last backup failed; empty if it did not."""
    return cast(StillaloftFlask, current_app).backups.failure


def _is_file_damaged() -> bool:
    """Returns whether the last check of the whole file found damage."""
    return cast(StillaloftFlask, current_app).notes.damaged_at is not None


def _office_changes(subject: str) -> list[OfficeChange]:
    """Returns the latest changes of something that the office changes, the newest first."""
    return office_history(request_context().session, subject, most=MOST_CHANGES)


def opens_next() -> tuple[datetime, str] | None:
    """Returns when the shop opens again if it is closed now, also as seen from today; None if it is open."""
    here = request_context()
    opens_at = here.shop.opening.first_open(here.now)
    if opens_at <= here.now:
        return None
    return opens_at, here.formats.short_moment(opens_at, here.formats.local(here.now).date())


def missing_of_shop() -> Missing:
    """Returns what the shop has not entered yet."""
    here = request_context()
    entered = Entered(
        cylinder=has_cylinder(here.session),
        staff=has_staff(here.session),
        backup_elsewhere=not cast(StillaloftFlask, current_app).backups.is_on_same_disk(),
    )
    return find_missing(here.shop, here.catalogue, entered)


def _request_values() -> dict[str, Any]:
    """Returns what every template may say of the shop and of this device; nothing on an error page."""
    here = g.get("request_context")
    return {"fmt": here.formats, "shop": here.shop.display, "who": here.who, "look": here.look} if here else {}
