"""This module words what is read to the caller about an order: what was agreed, and what has become of it since."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from app.craft.price import Balance
from app.physics.light import Surroundings
from app.planning.window import Verdict
from app.quoting.request import HandOver, Occasion
from app.quoting.states import OrderPart, OrderState
from app.store.models import Order, OrderLine
from app.store.queries.plan import SavedDelay
from app.web.formats import Formats
from app.web.wording.bill import price_words
from app.web.wording.order_state import Missed
from app.web.wording.orders import delivered_words, later_hand_over


@dataclass(frozen=True, slots=True)
class OrderNow:
    """What has become of an open order by now. verdict: how long it lasts as it was started or is planned. missed:
    what did not happen in time; None if nothing was missed. delays: of the parts that can't be ready in time."""

    at: datetime
    verdict: Verdict
    missed: Missed | None = None
    filled: int = 0
    wanted: int = 0
    delays: Mapping[OrderPart, SavedDelay] = field(default_factory=dict)

    def is_too_late(self, lasts_until: datetime | None) -> bool:
        """Returns whether a part of an order that must float until then is ready only after that, if at all."""
        late = (delay.ready_at for delay in self.delays.values())
        return lasts_until is not None and any(at is None or at >= lasts_until for at in late)


def caller_summary(order: Order, balance: Balance, formats: Formats, then: OrderNow | None = None) -> str:
    """Returns what to say to the caller before hanging up, with a weekday beside every time. then: what has become
    of the order; without it only what was agreed is said."""
    if balance.is_cancelled and not order.is_quick_sale:
        cancelled = f"Order {order.number} for {order.customer} is cancelled."
        return " ".join((cancelled, *price_words(order, balance, formats)))
    if order.not_made_at:
        paid = (f"You have paid {formats.money(balance.paid_minor)}.",) if balance.paid_minor else ()
        money = price_words(order, balance, formats) if balance.is_not_made else ()
        return " ".join((_what(order, formats), "It was not made.", *paid, *money))
    is_over = bool(then and order.lasts_until and order.lasts_until <= then.at)
    sentences = (
        _what(order, formats),
        _when(order, formats, is_over=is_over),
        "" if is_over else _float_risk(order, then.verdict if then else order.verdict, formats),
        _where(order, formats),
        *_hand_over(order, then, formats),
        *price_words(order, balance, formats, is_past=bool(then and then.missed)),
    )
    return " ".join(filter(None, sentences))


def _hand_over(order: Order, then: OrderNow | None, formats: Formats) -> Iterator[str]:
    """Yields how each part leaves; if it did not, or cannot in time, that, and when it can."""
    delays = then.delays if then else {}
    if OrderPart.MAIN in delays and then:
        yield _cannot(order, delays[OrderPart.MAIN], then.at, formats)
    elif then and then.missed:
        yield _missed(order, then, then.missed, formats)
    else:
        yield _how(order, formats)
    if OrderPart.LATER in delays and then:
        yield _cannot(order, delays[OrderPart.LATER], then.at, formats)
    else:
        yield _later_part(order, formats)


def _cannot(order: Order, delay: SavedDelay, now: datetime, formats: Formats) -> str:
    """Returns that the order, or its later part, can't be ready in time, and offers when it can."""
    what = "the later part" if delay.part is OrderPart.LATER else "them"
    cannot = "could not" if delay.ready_by <= now else "can't" if delay.proved else "may not"
    late = f"We {cannot} have {what} ready by {formats.moment(delay.ready_by)}"
    if delay.ready_at is None:
        return f"{late}, or on any of the next days."
    at = formats.moment(delay.ready_at)
    if order.lasts_until and delay.ready_at >= order.lasts_until:
        return f"{late}, only at about {at}, when your event is over."
    offer = {
        HandOver.COLLECT: f"You could collect {what} at about {at}",
        HandOver.DELIVER: f"We could leave here with {what} at about {at}",
        HandOver.VENUE: f"Our crew could leave here at about {at}",
    }[order.hand_over]
    too_late = order.event_start and delay.ready_at >= order.event_start
    return f"{late}. {offer}{', after your event has started' if too_late else ''}."


def _missed(order: Order, then: OrderNow, missed: Missed, formats: Formats) -> str:
    """Returns what was agreed and did not happen."""
    ready = formats.moment(order.later_at if missed.is_later_part and order.later_at else order.ready_by)
    what = "The later part was" if missed.is_later_part else "They were"
    if not missed.is_ready:
        return f"{what} to be ready by {ready}. {then.filled} of {then.wanted} balloons are filled."
    to_do = {
        HandOver.COLLECT: "collected on",
        HandOver.DELIVER: f"delivered to {order.address} on",
        HandOver.VENUE: f"filled at {order.address} until",
    }[order.hand_over]
    return f"{what} to be {to_do} {formats.moment(missed.due)}."


def _what(order: Order, formats: Formats) -> str:
    lines = "; ".join(f"{_line_described(line)}{_with_it(line, formats)}" for line in order.lines)
    whose = "" if order.occasion == Occasion.NOW else f" for {order.customer}"
    return f"Order {order.number}{whose}: {lines}."


def _when(order: Order, formats: Formats, *, is_over: bool) -> str:
    if order.lasts_until is None:
        return ""
    if order.event_start is None:
        return f"They {'had to' if is_over else 'must'} float until {formats.moment(order.lasts_until)}."
    end = formats.short_moment(order.lasts_until, formats.local(order.event_start).date())
    return f"The event {'was' if is_over else 'is'} on {formats.moment(order.event_start)} to {end}."


def _float_risk(order: Order, verdict: str, formats: Formats) -> str:
    """Returns a sentence about balloons of an open order that may not last, so that the caller has heard it."""
    if order.state != OrderState.OPEN or order.lasts_until is None or verdict == Verdict.SAFE:
        return ""
    until = formats.short_moment(order.lasts_until, formats.local(order.event_start or order.ready_by).date())
    if verdict == Verdict.RISKY:
        return f"It is risky: they may not all last until {until}."
    return f"We do not expect them to last until {until}."


def _where(order: Order, formats: Formats) -> str:
    """Returns a sentence about the wind if the order is outdoors and the wind is known, because it decides the
    weights."""
    if order.surroundings == Surroundings.INDOORS or order.wind_m_s is None:
        return ""
    return f"It is outdoors in the {order.surroundings}, with a wind of {formats.wind(order.wind_m_s)}."


def _how(order: Order, formats: Formats) -> str:
    ready = formats.moment(order.ready_by)
    if order.occasion == Occasion.NOW:
        if order.is_quick_sale:
            return f"This was a quick sale on {ready}."
        return f"We fill them now. They are ready on {ready}."
    if order.hand_over == HandOver.DELIVER and order.arrives_at:
        arrives, why = delivered_words(order, order.arrives_at)
        leaves = formats.short_moment(order.ready_by, formats.local(arrives).date())
        return f"We deliver to {order.address} on {formats.moment(arrives)}{why}. We leave here at {leaves}."
    if order.hand_over == HandOver.VENUE and order.arrives_at:
        leaves = formats.short_moment(order.ready_by, formats.local(order.arrives_at).date())
        return (
            f"{'1 person fills' if order.crew == 1 else f'{order.crew} people fill'} them at {order.address}."
            f" Our crew can enter from {formats.moment(order.arrives_at)}, and leaves here at {leaves}."
        )
    return f"You collect them on {ready}."


def _later_part(order: Order, formats: Formats) -> str:
    if order.later_at is None:
        return ""
    at = formats.moment(later_hand_over(order, order.later_at))
    verb = "We deliver" if order.hand_over == HandOver.DELIVER else "You collect"
    lines = "; ".join(_later_line(line) for line in order.lines if line.part is OrderPart.LATER)
    return f"{verb} the later part on {at}: {lines}."


def _later_line(line: OrderLine) -> str:
    """Returns what of a line comes later: for a design with foils or spheres that leave first, only its latex."""
    part = "" if all(part["part"] == OrderPart.LATER for part in line.parts) else "the latex of "
    return f"{part}{_line_described(line)}"


def _line_described(line: OrderLine) -> str:
    return f"{line.quantity} × {line.title}" + (f" ({line.colours})" if line.colours else "")


def _with_it(line: OrderLine, formats: Formats) -> str:
    """Returns what is done to each balloon of a line besides filling it."""
    hung = f", with {formats.weighed(line.hung_g, 2)} of gift or card on each" if line.hung_g else ""
    return f"{', treated' if line.treated else ''}{hung}"
