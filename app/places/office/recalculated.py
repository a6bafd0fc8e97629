"""Saves a change of the shop and recalculates all open orders. If some get worse, the page says which before
anything is saved."""

from collections.abc import Callable, Sequence

from flask import abort, flash, request

from app.actions.context import Context
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.shop.office import WorseOrder
from app.actions.shop.prepared_orders import Prepared, prepare_open_orders, save_open_orders, still_good
from app.actions.shop.settings_history import count_open_orders
from app.places.office.long_work import long_work_page
from app.quoting.catalogue import Catalogue
from app.quoting.shop import Shop
from app.web.forms.drawn import EFFECTS_SEEN, CheckedForm, Effects
from app.web.long_work import STOP, LongWork, LongWorks, WorkState
from app.web.requests import request_context, served_app
from app.web.wording.recalculated import effect_sentences, recalculated_sentences

CHECK = "check"
"""The button that only shows what saving would do."""


CALCULATED_AT_ONCE = 50
"""So many open orders are calculated while they are saved: a tenth of a second, for which a tap waits. More are
calculated beside the pages first."""
SUBJECT = "recalculation"


def save_and_recalculate(form: CheckedForm, save: Callable[[], str]) -> bool:
    """Saves, recalculates all open orders, and returns whether it was saved.

    save: makes the change and returns the sentence about it; may raise Refused. Nothing is saved for a press of
    Check, nor while some orders get worse and the form does not say that these were seen; then the form has the
    effects. Nor is it saved while many orders are to be calculated first: then the request ends with the page of
    that work, which sends the form once more when it is done.
    """
    context = request_context().context
    if STOP in request.form:
        return _stop(form)
    with context.session.begin_nested() as block:
        done = save()
        work, prepared = _prepared(context)
        must_wait = work is not None and prepared is None
        worse = [] if must_wait else save_open_orders(context, prepared or {})
        effects = _effects(worse)
        is_saved = not must_wait and CHECK not in request.form and (not worse or _was_seen(effects))
        if not is_saved:
            block.rollback()
    if work and must_wait:
        abort(long_work_page(work))
    if not is_saved:
        form.effects = effects
        return False
    if work:
        served_app().long_works.forget(work)
    is_any_open = bool(worse) or bool(count_open_orders(context.session))
    for sentence in recalculated_sentences(done, worse, is_any_open=is_any_open):
        flash(request_context().formats.in_shop_units(sentence))
    return True


def _stop(form: CheckedForm) -> bool:
    """Stops the work that the form asks to stop. Returns that nothing was saved."""
    work = served_app().long_works.find(request.form[STOP])
    if work:
        work.stop()
    form.is_stopped = True
    return False


def _prepared(context: Context) -> tuple[LongWork | None, Prepared | None]:
    """Returns the work that prepares the open orders by the shop as it is changed here, and what it has prepared;
    None for that while too many are not prepared. Without many open orders there is no work."""
    is_open = count_open_orders(context.session)
    if is_open <= CALCULATED_AT_ONCE:
        return None, None
    works, basis = served_app().long_works, (load_shop(context.session), load_catalogue(context.session))
    work = _start(works, basis)
    if work.state is not WorkState.DONE:
        return work, None
    prepared = still_good(context.session, work.result)
    if is_open - len(prepared) <= CALCULATED_AT_ONCE:
        return work, prepared
    works.forget(work)
    return _start(works, basis), None


def _start(works: LongWorks, basis: tuple[Shop, Catalogue]) -> LongWork:
    """Returns the work that prepares all open orders by this shop and catalogue; it is started if need be."""
    database, now = served_app().database, request_context().now

    def prepare(work: LongWork) -> Prepared:
        return prepare_open_orders(database, *basis, now, work.report)

    return works.start(SUBJECT, prepare, basis)


def _was_seen(effects: Effects) -> bool:
    """Returns whether the form says that it was seen which orders get worse."""
    return {*request.form.get(EFFECTS_SEEN, "").split()} == {*effects.seen.split()}


def _effects(worse: Sequence[WorseOrder]) -> Effects:
    """Returns in words what a change does to open orders."""
    here = request_context()
    checked = count_open_orders(here.session)
    sentences = tuple(here.formats.in_shop_units(one) for one in effect_sentences(worse, checked))
    return Effects(sentences, tuple(order.number for order in worse), checked)


def status_of(form: CheckedForm) -> int:
    """Returns the status of a page on which the form was not saved: fine if somebody only wanted to check it,
    or stopped it."""
    return 200 if form.is_stopped or (form.effects and CHECK in request.form) else form.refused_status
