"""Pick-ups: the question before a step is taken that something speaks against, and the payment at the door."""

from collections.abc import Collection
from dataclasses import dataclass

from flask import request

from app.actions.money.payments import pay_what_is_due
from app.actions.orders.concerns import ConcernKind, StepAsked
from app.quoting.errors import Problem, Refused
from app.quoting.states import HandOverStep, OrderPart, PaymentMethod
from app.web.forms import read_id, sent_client_key
from app.web.requests import request_context
from app.web.wording.forms import PAGE_OUT_OF_DATE
from app.web.wording.steps import anyway_words, concern_sentence


@dataclass(frozen=True, slots=True)
class ShownQuestion:
    """The question about a step of one hand-over. kinds: what its “anyway” is sure of, as it is sent. due_minor: 0
    if nothing is to pay."""

    number: int
    part: OrderPart
    step: HandOverStep
    name: str
    sentences: tuple[str, ...]
    anyway: str
    kinds: str
    due_minor: int


def show_question(asked: StepAsked, number: int, part: OrderPart) -> ShownQuestion:
    """Returns the question in words."""
    here, concerns = request_context(), asked.concerns
    return ShownQuestion(
        number,
        part,
        concerns[0].step,
        concerns[0].kind,
        tuple(concern_sentence(one, here.formats, here.now) for one in concerns),
        anyway_words(concerns),
        " ".join(one.kind for one in concerns),
        max(one.due_minor for one in concerns),
    )


def sent_sureness() -> Collection[ConcernKind]:
    """Returns what somebody was asked about and takes the step anyway. Raises Refused."""
    try:
        return {ConcernKind(kind) for kind in request.form.get("sure", "").split()}
    except ValueError:
        raise Refused(Problem("sure", PAGE_OUT_OF_DATE)) from None


def pay_at_door(number: int) -> None:
    """Saves that all that is due was paid, as the question showed it. Raises NotFound, Refused."""
    try:
        how = PaymentMethod(request.form.get("how", ""))
    except ValueError:
        raise Refused(Problem("how", PAGE_OUT_OF_DATE)) from None
    due_minor = read_id(request.form.get("due"))
    pay_what_is_due(request_context().context, number, how, due_minor, sent_client_key())
