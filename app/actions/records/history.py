"""The history of every order: who changed it, when, what it was and what it is, in words for a person."""

from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import select, text
from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.records.descriptions import Changes, HistoryFormats, describe_order
from app.actions.records.shop import setting_values
from app.store.models import Counter, HistoryEntry, Order
from app.store.shop_version import has_changed_shop
from app.store.versions import BOARD, versions_of

ORDER_NUMBER = "order"
_LOCKED_BOARD = select(Counter.value).where(Counter.name == BOARD).with_for_update()
_NEXT_NUMBER = text("UPDATE counter SET value = value + 1 WHERE name = :name RETURNING value")


def write_history(
    context: Context, order: Order, act: str, changes: Changes, formats: HistoryFormats | None = None
) -> None:
    """Adds an entry with a description of the order at this moment, so call it after all changes. formats: those of
    the settings as they are saved; they are read if not given."""
    entry = describe_entry(order, act, changes, formats or _saved_formats(context))
    context.session.add(HistoryEntry(at=context.now, who=context.who, **entry))


def describe_entry(order: Order, act: str, changes: Changes, formats: HistoryFormats) -> dict[str, Any]:
    """Returns what an entry says of the order at this moment, by column; when it was and who it was is not in
    it."""
    return {
        "order_id": order.id,
        "order_version": order.version,
        "act": act,
        "changes": [list(c) for c in changes],
        "description": [list(pair) for pair in describe_order(order, formats).items()],
    }


def _saved_formats(context: Context) -> HistoryFormats:
    """Returns the formats of the settings as they are saved, which are newer than the shop of the context if this
    session has changed them."""
    if not has_changed_shop(context.session):
        return HistoryFormats.of(context.shop)
    values = setting_values(context.session)
    return HistoryFormats(
        zone=ZoneInfo(str(values["zone"])),
        decimals=int(values["currency_decimals"]),
        twelve_hours=values["clock"] == "12 h",
    )


def history_of(session: Session, order: Order, since_version: int = 0) -> list[HistoryEntry]:
    """Returns the entries after that version, the oldest first."""
    found = select(HistoryEntry).where(
        HistoryEntry.order_id == order.id, HistoryEntry.order_version > since_version
    )
    return list(session.scalars(found.order_by(HistoryEntry.id)))


def allocate_number(session: Session, name: str) -> int:
    """Returns the next number of a counter; no two writers ever get the same."""
    session.flush()
    allocated = session.connection().execute(_NEXT_NUMBER, {"name": name})
    return int(allocated.scalar_one())


def board_version(session: Session) -> int:
    """Returns the version of what the bench and the pick-ups show."""
    return versions_of(session)[BOARD]


def lock_board(session: Session) -> None:
    """Locks the board: nobody else changes what it shows until the session ends."""
    session.execute(_LOCKED_BOARD)


def touch_board(session: Session) -> None:
    """Records that what the bench or the pick-ups show has changed, so that pages that poll notice."""
    allocate_number(session, BOARD)
