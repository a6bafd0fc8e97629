"""Which balloons of a batch are not in stock."""

from app.actions.stock.short_today import missing_count, short_today
from app.quoting.states import OrderState
from app.store.queries.bench import BoardRow
from app.web.requests import RequestContext


def missing_of(row: BoardRow, here: RequestContext) -> tuple[tuple[str, int], ...]:
    """Returns how many of which of its colours are missing today for all orders together; nothing for a batch that
    was started or is not made, or that is of a later day."""
    is_made = row.order_state == OrderState.OPEN and not row.not_made_at and not row.started_at
    if not is_made or row.at_venue:
        return ()
    if here.shop.opening.day_of(min(row.inflate_by, row.ready_by)) > here.context.today:
        return ()
    short = short_today(here.context)
    counts = ((name, missing_count(short, row.balloon_type_id, name)) for name, _ in row.colours)
    return tuple((name, count) for name, count in counts if count)
