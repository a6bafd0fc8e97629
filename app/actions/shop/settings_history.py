"""Settings saved with their history, and a value put back."""

from collections.abc import Mapping

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.errors import NotFound
from app.actions.records.office_history import write_office_history
from app.actions.records.shop import setting_values
from app.actions.shop.office import change_settings
from app.quoting.settings.all_settings import SETTINGS
from app.quoting.settings.setting import Setting
from app.quoting.shop import Value
from app.quoting.states import OrderState
from app.store.models import OfficeChange, Order

SETTINGS_SUBJECT = "settings"
NO_SUCH_CHANGE = "This change of a setting does not exist."


def change_shop_settings(context: Context, changes: Mapping[str, Value]) -> None:
    """Saves values by setting key, and adds what is different to the history. Raises Refused as `change_settings`
    does."""
    before = setting_values(context.session)
    change_settings(context.session, changes)
    after = setting_values(context.session)
    rows = [
        (one.key, one.label, before[one.key], after[one.key])
        for one in SETTINGS
        if before[one.key] != after[one.key]
    ]
    write_office_history(context, SETTINGS_SUBJECT, rows)


def former_value(session: Session, change_id: int, key: str) -> tuple[Setting, Value]:
    """Returns a setting and its value before a change of the history. Raises NotFound."""
    entry = session.get(OfficeChange, change_id)
    setting = next((one for one in SETTINGS if one.key == key), None)
    if entry is None or setting is None or entry.subject != SETTINGS_SUBJECT:
        raise NotFound(NO_SUCH_CHANGE)
    for changed, _, before, _ in entry.changes:
        if changed == key:
            return setting, before
    raise NotFound(NO_SUCH_CHANGE)


def count_open_orders(session: Session) -> int:
    """Returns how many orders are open."""
    return session.scalar(select(func.count()).select_from(Order).where(Order.state == OrderState.OPEN)) or 0
