"""Saves a change of the shop and recalculates all open orders. If some get worse, the page says which before
anything is saved."""

from collections.abc import Callable, Sequence

from flask import flash, request

from app.actions.shop.office import WorseOrder, replan_open_orders
from app.actions.shop.settings_history import count_open_orders
from app.web.forms.drawn import EFFECTS_SEEN, CheckedForm, Effects
from app.web.requests import request_context
from app.web.wording.recalculated import effect_sentences, recalculated_sentences

CHECK = "check"
"""The button that only shows what saving would do."""


def save_and_recalculate(form: CheckedForm, save: Callable[[], str]) -> bool:
    """Saves, recalculates all open orders, and returns whether it was saved.

    save: makes the change and returns the sentence about it; may raise Refused. Nothing is saved for a press of
    Check, nor while some orders get worse and the form does not say that these were seen; then the form has the
    effects.
    """
    context = request_context().context
    with context.session.begin_nested() as block:
        done = save()
        worse = replan_open_orders(context)
        effects = _effects(worse)
        if CHECK in request.form or (worse and request.form.get(EFFECTS_SEEN) != effects.seen):
            block.rollback()
            form.effects = effects
            return False
    for sentence in recalculated_sentences(done, worse):
        flash(request_context().formats.in_shop_units(sentence))
    return True


def _effects(worse: Sequence[WorseOrder]) -> Effects:
    """Returns in words what a change does to open orders."""
    here = request_context()
    checked = count_open_orders(here.session)
    sentences = tuple(here.formats.in_shop_units(one) for one in effect_sentences(worse, checked))
    return Effects(sentences, tuple(order.number for order in worse), checked)


def status_of(form: CheckedForm) -> int:
    """Returns the status of a page on which the form was not saved: fine if somebody only wanted to check it."""
    return 200 if form.effects and CHECK in request.form else form.refused_status
