"""Rented items that come back: counted, with what is lost, and what of the security deposit is
kept; and the take-down.

At a take-down a crew cuts the balloons, bins them, and fetches the items. No balloon is released. Both can be
undone."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.errors import NotFound
from app.actions.records.descriptions import Changes
from app.actions.records.history import touch_board, write_history
from app.actions.records.orders import load_order
from app.actions.records.shop import setting_values
from app.actions.records.taps import handed_over_parts, is_known, load_tap, mark_undone, save_tap
from app.quoting.errors import Problem, Refused
from app.quoting.states import OrderPart, OrderState
from app.store.models import Order, RentalReturn, Tap
from app.store.queries.rentals import TAKEN_DOWN, OrderRentals, RentedGoods, rentals_of_order

MAX_NOTE_LENGTH = 300
COUNT_MISSING = "Enter how many came back or are lost."
TOO_MANY_BACK = "Only {out} × {name} out on rental. Enter fewer back or lost."
TOO_MUCH_KEPT = "Enter no more than the security deposit on what came back or is lost."
NOTHING_OUT = "All rentals of this order are back already."


@dataclass(frozen=True, slots=True)
class ReturnedGoods:
    """Of one rental: the pieces that came back, the pieces lost, and what is kept of their security
    deposit, in minor
    units."""

    rental_id: int
    back: int
    lost: int = 0
    kept_minor: int = 0


def return_goods(
    context: Context,
    number: int,
    came: Sequence[ReturnedGoods],
    note: str,
    client_key: str,
) -> Order:
    """Records what came back in one press; the same press again changes nothing.

    Raises NotFound, Refused: a problem's line is the place in `came`.
    """
    order = load_order(context.session, number, to_change=True)
    row = _rentals(context.session, number)
    keys = [RentalReturn.key_of(client_key, good.id) for good in row.goods]
    if _is_known(context.session, keys):
        return order
    refuse_before_hand_over(context.session, order)
    goods = {good.id: good for good in row.goods}
    problems = [problem for place, one in enumerate(came) for problem in _problems(one, goods, place)]
    if not any(one.back or one.lost for one in came):
        problems.append(Problem("back", NOTHING_OUT if not row.out else COUNT_MISSING))
    if len(note) > MAX_NOTE_LENGTH:
        problems.append(Problem("note", f"Shorten the note to {MAX_NOTE_LENGTH} letters. It has {len(note)}."))
    if problems:
        raise Refused(*problems)
    noted = [one for one in came if one.back or one.lost]
    context.session.add_all(
        _return(one, note, context.who, context.now, RentalReturn.key_of(client_key, one.rental_id))
        for one in noted
    )
    context.session.flush()
    _write_history(context, order, "rentals returned", [(goods[one.rental_id], one) for one in noted], note)
    return order


def return_all(context: Context, number: int, client_key: str) -> Order:
    """Records that all items that are out came back whole. Raises NotFound, and Refused when nothing is out."""
    load_order(context.session, number, to_change=True)
    came = [ReturnedGoods(good.id, good.out) for good in _rentals(context.session, number).goods]
    return return_goods(context, number, came, "", client_key)


def undo_return(context: Context, number: int, return_id: int) -> Order:
    """Undoes a whole press, whichever of its returns is named; a second undo changes nothing. Raises NotFound."""
    order = load_order(context.session, number, to_change=True)
    row = _rentals(context.session, number)
    named = context.session.get(RentalReturn, return_id)
    goods = {good.id: good for good in row.goods}
    if named is None or named.rental_id not in {rental.id for rental in order.rentals}:
        raise NotFound("There is no such return to undo.")
    if named.undone_at is not None:
        return order
    keys = [RentalReturn.key_of(named.submission_key, rental.id) for rental in order.rentals]
    mine = context.session.scalars(select(RentalReturn).where(RentalReturn.client_key.in_(keys))).all()
    for one in mine:
        one.undone_at, one.undone_by = context.now, context.who
    context.session.flush()
    undone = [
        (goods[one.rental_id], ReturnedGoods(one.rental_id, -one.back, -one.lost, -one.kept_minor)) for one in mine
    ]
    _write_history(context, order, "return of rentals undone", undone, "")
    return order


def _rentals(session: Session, number: int) -> OrderRentals:
    """Returns the rentals of the order. Raises NotFound if it has none."""
    row = rentals_of_order(session, number)
    if row is None or not row.goods:
        raise NotFound(f"Order {number} has no rentals.")
    return row


def _is_known(session: Session, keys: Sequence[str]) -> bool:
    """Returns whether a return with one of these keys is saved already."""
    return session.scalar(select(RentalReturn.id).where(RentalReturn.client_key.in_(keys)).limit(1)) is not None


def _problems(one: ReturnedGoods, goods: dict[int, RentedGoods], place: int) -> Iterator[Problem]:
    """Yields what is wrong with the counts and amounts. Raises NotFound for an item that the order does not
    have."""
    good = goods.get(one.rental_id)
    if good is None:
        raise NotFound("The order has no such rental.")
    if min(one.back, one.lost, one.kept_minor) < 0:
        yield Problem("back", "Enter 0 or more.", place)
    elif one.back + one.lost > good.out:
        yield Problem("back", TOO_MANY_BACK.format(out=good.out, name=good.name), place)
    elif one.kept_minor > (one.back + one.lost) * good.deposit_minor:
        yield Problem("kept", TOO_MUCH_KEPT, place)


def _return(one: ReturnedGoods, note: str, who: str, now: datetime, key: str) -> RentalReturn:
    """Returns the return as a row."""
    return RentalReturn(
        client_key=key,
        rental_id=one.rental_id,
        back=one.back,
        lost=one.lost,
        kept_minor=one.kept_minor,
        note=note,
        at=now,
        who=who,
    )


def _write_history(
    context: Context,
    order: Order,
    act: str,
    came: Sequence[tuple[RentedGoods, ReturnedGoods]],
    note: str,
) -> None:
    """Records in the order's history what came back."""
    decimals = int(setting_values(context.session)["currency_decimals"])
    changes = [change for good, one in came for change in _changes(good, one, decimals)]
    write_history(context, order, f"{act}: {note}" if note else act, changes)
    touch_board(context.session)


def _changes(good: RentedGoods, one: ReturnedGoods, decimals: int) -> Changes:
    """Returns what changed: the items before, and with what came back."""
    changes = [
        (
            f"{good.name}, out on rental",
            str(good.out),
            str(max(0, good.quantity - good.returned - one.back - one.lost)),
        ),
        (f"{good.name}, lost", str(good.lost), str(good.lost + one.lost)),
        *_kept_change(good, one, decimals),
    ]
    return [(what, was, now) for what, was, now in changes if was != now]


def _kept_change(good: RentedGoods, one: ReturnedGoods, decimals: int) -> Changes:
    """Returns the change of what is kept of the security deposit."""
    saved = (good.kept_minor, good.kept_minor + one.kept_minor)
    was, now = (f"{minor / 10**decimals:.{decimals}f}" for minor in saved)
    return [(f"{good.name}, security deposit kept", was, now)]


def cut_and_bin(context: Context, number: int, client_key: str) -> Order:
    """Records that the balloons are cut and binned; a second tap changes nothing. Raises NotFound, Refused."""
    order = load_order(context.session, number, to_change=True)
    if is_known(context.session, client_key):
        return order
    refuse_before_hand_over(context.session, order)
    row = rentals_of_order(context.session, number)
    if order.take_down_at is None or row is None:
        raise Refused(Problem("step", f"Order {number} has no take-down."))
    if row.cut is None:
        tap = Tap(client_key=client_key, order_id=order.id, batch_id=None, act=TAKEN_DOWN, colour="", count=0)
        tap.part, tap.at, tap.who = OrderPart.MAIN, context.now, context.who
        if save_tap(context.session, tap):
            touch_board(context.session)
    return order


def undo_cut_and_bin(context: Context, number: int, tap_id: int) -> Order:
    """Undoes the record that the balloons are cut and binned; a second undo changes nothing. Raises NotFound."""
    order = load_order(context.session, number, to_change=True)
    tap = load_tap(context.session, tap_id)
    if tap.order_id != order.id or tap.act != TAKEN_DOWN:
        raise NotFound("There is no such step to undo.")
    if tap.undone_at is None:
        mark_undone(context, tap)
        touch_board(context.session)
    return order


def refuse_before_hand_over(session: Session, order: Order) -> None:
    """Raises Refused if the order is not handed over, since what has not gone out cannot come back."""
    if order.state == OrderState.CANCELLED:
        raise Refused(Problem("step", f"Order {order.number} is cancelled."))
    if not handed_over_parts(session, order):
        raise Refused(Problem("step", f"Order {order.number} is not handed over yet. Tap its steps first."))
