"""Counter: a save that was refused, which the form goes on saying until it is saved."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from app.actions.orders.overrides import NO_ACCEPTED_RISK, NO_BENCH_OVERRIDE, NO_STOCK_OVERRIDE
from app.actions.orders.surplus import NO_FATE
from app.places.counter.forms import OrderForm
from app.places.counter.free_orders import SAY_FREE, is_free_unsaid
from app.places.counter.prefill import copy_of_form
from app.places.counter.quote_view import ShownQuote
from app.web.forms import ShownProblem, target_of
from app.web.requests import request_context
from app.web.wording.orders import SAVED_MEANWHILE

REASONS = (NO_ACCEPTED_RISK, NO_BENCH_OVERRIDE, NO_STOCK_OVERRIDE, NO_FATE)
MISSING_REASONS = {one.field: one.sentence for one in REASONS}


@dataclass(frozen=True, slots=True)
class Refusal:
    """problems: what must still be fixed; empty once only the press of Save is left."""

    problems: tuple[ShownProblem, ...]


def mark_refused(form: OrderForm, sentences: Sequence[str] | None = None) -> None:
    """Marks the form as one whose save was refused. sentences: of the refusal; None for those of the form.

    What stands at no field cannot be checked while somebody types, so it stays until the next save.
    """
    form.is_refused = sentences is None
    rows = (form.lines.too_many, form.extras.too_many)
    without_field = [one.sentence for one in form.problems if not one.target and one.sentence not in rows]
    form.refused.data = json.dumps(without_field if sentences is None else list(sentences))


def mark_changed_meanwhile(form: OrderForm) -> None:
    """Marks the form as one whose save was refused because somebody else saved the order meanwhile."""
    mark_refused(form, (SAVED_MEANWHILE,))


def refusal_of(form: OrderForm, quote: ShownQuote | None) -> Refusal | None:
    """Returns the refused save, with what must still be fixed; None if no save of this form was refused.

    quote: for what stands in the form; None if there is none, so that the form says why.
    """
    if not form.refused.data:
        return None
    here, strict = request_context(), copy_of_form(form)
    strict.is_draft = False
    strict.read(here.formats, here.now, here.shop.trip)
    found = [ShownProblem("", sentence, "") for sentence in _sentences_of(form)]
    found += [*strict.problems, *form.problems]
    if quote:
        found += [ShownProblem("", sentence, "") for sentence in quote.money.missing_details]
        found += _missing_reasons(form, form.missing_of(quote.needed_reasons))
        if is_free_unsaid(form, quote.money.total_minor):
            found.append(ShownProblem(form.free.label.text, SAY_FREE.sentence, target_of(form.free)))
    return Refusal(tuple(dict.fromkeys(found)))


def _missing_reasons(form: OrderForm, names: Iterable[str]) -> list[ShownProblem]:
    return [ShownProblem(form[name].label.text, MISSING_REASONS[name], target_of(form[name])) for name in names]


def _sentences_of(form: OrderForm) -> list[str]:
    """Returns the sentences of the refusal that stand at no field; none if the browser sent no valid ones."""
    try:
        sent = json.loads(form.refused.data or "[]")
        return [str(sentence) for sentence in sent] if isinstance(sent, list) else []
    except (ValueError, TypeError, RecursionError):
        return []
