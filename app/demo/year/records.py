"""This module keeps the rows that a lived order leaves, and what it took from stock and from the cylinders."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.gas.balance import gas_taken
from app.actions.stock.articles import Article
from app.craft.sizing import filled_litres
from app.demo.year.typical import Course, Typical
from app.physics.balloon import Gas
from app.quoting.quote import Quote
from app.quoting.states import TapAction
from app.store.models import Order
from app.store.types import Base

OF_ORDER = (
    *("orders", "order_line", "order_extra", "batch", "tap", "payment"),
    *("rental", "rental_return", "stock_move", "history_entry"),
)
"""The tables that hold what belongs to an order, each after those to which it refers."""
TABLES = Base.metadata.tables

Row = dict[str, Any]


@dataclass(frozen=True, slots=True)
class StockUse:
    """What a row of the stock's moves took. place: of the row. colour: as the pack says it."""

    place: int
    article: Article
    colour: str


@dataclass(frozen=True, slots=True)
class Lived:
    """An order that was lived. typical, way: None for a quick sale, which has its weight. rows: by table. taken_at:
    all that happened then moves with the day on which it is taken, the rest with the day on which it leaves.
    uses: its moves of stock. helium: (place, litres) of each tap that took some."""

    typical: Typical | None
    way: Course | None
    weight: float
    rows: dict[str, list[Row]]
    quote: Quote
    uses: tuple[StockUse, ...]
    helium: tuple[tuple[int, float], ...]

    @property
    def order(self) -> Row:
        """Its row in the table of orders."""
        return self.rows["orders"][0]

    @property
    def colours(self) -> set[str]:
        """The colours that burst."""
        return {colour for batch in self.rows["batch"] for colour, _ in batch["bursts"]}

    def moments(self) -> Iterator[datetime]:
        """Yields when something was done for it after it was taken."""
        for name in ("tap", "payment", "rental_return", "history_entry", "stock_move"):
            yield from (row["at"] for row in self.rows[name] if row["at"] > self.order["taken_at"])


def keep(
    context: Context, order: Order, quote: Quote, typical: Typical | None, way: Course | None, weight: float
) -> Lived:
    """Returns all that an order left. Its rows are in the database."""
    session = context.session
    rows = {name: _rows_of(session, name, order.id) for name in OF_ORDER}
    return Lived(typical, way, weight, rows, quote, _uses(session, rows), tuple(_helium(context, rows)))


def _uses(session: Session, rows: dict[str, list[Row]]) -> tuple[StockUse, ...]:
    """Returns what the moves took, and from which lots."""
    lots = TABLES["lot"]
    ids = {row["lot_id"] for row in rows["stock_move"]}
    found = session.execute(select(lots).where(lots.c.id.in_(ids))).mappings()
    by_id = {
        lot["id"]: (Article(lot["balloon_type_id"] or 0, lot["supply_id"] or 0), lot["colour"]) for lot in found
    }
    uses = ((place, by_id[row["lot_id"]]) for place, row in enumerate(rows["stock_move"]))
    return tuple(StockUse(place, article, colour) for place, (article, colour) in uses)


def _helium(context: Context, rows: dict[str, list[Row]]) -> Iterator[tuple[int, float]]:
    """Yields the place of each tap that took helium, and its litres, as the gas balance counts them."""
    shop, batches = context.shop, {row["id"]: row for row in rows["batch"]}
    for place, tap in enumerate(rows["tap"]):
        batch = batches.get(tap["batch_id"])
        if (
            batch
            and batch["gas"] == Gas.HELIUM
            and tap["act"] in (TapAction.FILL, TapAction.FINISH, TapAction.BURST)
        ):
            one = context.catalogue.balloon_types[batch["balloon_type_id"]].balloon_type
            litres = filled_litres(one, batch["fill_size_in"], batch["fill_share"])
            yield place, tap["count"] * gas_taken(one, litres, shop.air, shop)


def _rows_of(session: Session, name: str, order_id: int) -> list[Row]:
    """Returns the rows of a table that belong to an order."""
    table, rentals = TABLES[name], TABLES["rental"]
    mine: ColumnElement[bool]
    if name == "rental_return":
        mine = table.c.rental_id.in_(select(rentals.c.id).where(rentals.c.order_id == order_id))
    else:
        mine = (table.c.id if name == "orders" else table.c.order_id) == order_id
    return [dict(row) for row in session.execute(select(table).where(mine).order_by(table.c.id)).mappings()]
