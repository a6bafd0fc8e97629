"""This module copies the rows of an order that was lived: to another day, for another customer, with other staff."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from app.actions.records.descriptions import HistoryFormats
from app.craft.cost import CostLine, cost_minor
from app.demo.year.days import Planned
from app.demo.year.records import OF_ORDER, Row
from app.store.search_keys import digits_of, fold_text

MOMENTS_IN_WORDS = {
    "event starts": "event_start",
    "must float until": "lasts_until",
    "ready by": "ready_by",
    "arrives at": "arrives_at",
    "later part ready by": "later_at",
    "rentals back by": "return_by",
    "take-down": "take_down_at",
}
"""What the history calls a moment of the order, and its column."""
REFERENCES = {"order_id": "orders", "batch_id": "batch", "rental_id": "rental"}


class Copier:
    """Copies orders. ids: the last id of each table, and of the numbers of orders. all_rows: what was copied, by
    table. customer_ids: by the customer's place in the list of all."""

    def __init__(self, ids: Mapping[str, int], staff: Sequence[str], formats: HistoryFormats) -> None:
        self._last = dict(ids)
        self._staff = staff
        self._formats = formats
        self.all_rows: defaultdict[str, list[Row]] = defaultdict(list)
        self.customer_ids: dict[int, int] = {}

    def next_id(self, table: str) -> int:
        """Returns the next free id of a table."""
        self._last[table] += 1
        return self._last[table]

    def customer_id(self, place: int) -> int:
        """Returns the id of a customer: a new one with their first order. place: in the list of all."""
        if place not in self.customer_ids:
            self.customer_ids[place] = self.next_id("customer")
        return self.customer_ids[place]

    def copy(self, planned: Planned, customer_id: int | None, cost: Sequence[CostLine]) -> dict[str, list[Row]]:
        """Copies all rows of an order, and returns the new ones by table."""
        lived, number = planned.lived, self.next_id("number")
        shift, was = _Shift(planned), str(lived.order["number"])
        turn = number % len(self._staff)
        who = dict(zip(self._staff, [*self._staff[turn:], *self._staff[:turn]], strict=True))
        copied: dict[str, list[Row]] = {}
        ids: dict[str, dict[int, int]] = {}
        for name in OF_ORDER:
            ids[name] = {row["id"]: self.next_id(name) for row in lived.rows[name]}
            copied[name] = [shift.moved_row(row) for row in lived.rows[name]]
            for row in copied[name]:
                row["id"] = ids[name][row["id"]]
                _refer(row, ids)
                if "client_key" in row:
                    row["client_key"] = f"{row['client_key']} of {number}"
                if "who" in row:
                    row["who"] = who[row["who"]]
        self._write_order(copied["orders"][0], planned, number, customer_id, cost)
        for batch in copied["batch"]:
            batch["key"] = f"{number}{batch['key'].removeprefix(was)}"
            batch["float_plan"] = _moved_plan(batch["float_plan"], shift.life)
        for entry in copied["history_entry"]:
            entry["description"] = self._described(entry["description"], copied["orders"][0])
        for name, rows in copied.items():
            self.all_rows[name] += rows
        return copied

    def _write_order(
        self, order: Row, planned: Planned, number: int, customer_id: int | None, cost: Sequence[CostLine]
    ) -> None:
        """Writes what is not as it was in the order that was lived. Why it was late belongs here."""
        order["number"], order["customer_id"] = number, customer_id
        order["cost"], order["cost_minor"] = [[line.title, line.minor] for line in cost], cost_minor(cost)
        way = planned.lived.way
        if way and way.late_reason:
            order["late_reason"] = way.late_reason
        if planned.customer:
            name, phone = planned.customer.name, planned.customer.phone
            order |= {"customer": name, "customer_folded": fold_text(name)}
            order |= {"phone": phone, "phone_digits": digits_of(phone)}

    def _described(self, description: list[list[str]], order: Row) -> list[list[str]]:
        """Returns the words of a history entry, with the moments and the customer of the new order."""
        changed = {"customer": order["customer"], "phone": order["phone"]}
        for words, column in MOMENTS_IN_WORDS.items():
            if order[column] is not None:
                changed[words] = self._formats.moment(order[column])
        return [[what, changed.get(what, words) if words != "–" else words] for what, words in description]


class _Shift:
    """How far the moments of an order move. What was done when it was taken moves with that, all else with its
    hours."""

    def __init__(self, planned: Planned) -> None:
        order = planned.lived.order
        self._taken_at: datetime = order["taken_at"]
        self._taken = planned.taken_at - self._taken_at
        self.life = planned.leaves_at - order["ready_by"]

    def moved_row(self, row: Row) -> Row:
        """Returns a copy of the row with its moments moved."""
        return {name: self._moved(value) if isinstance(value, datetime) else value for name, value in row.items()}

    def _moved(self, moment: datetime) -> datetime:
        return moment + (self._taken if moment == self._taken_at else self.life)


def _refer(row: Row, ids: Mapping[str, Mapping[int, int]]) -> None:
    """Makes the row refer to the rows that were copied with it."""
    for column, table in REFERENCES.items():
        if row.get(column) is not None:
            row[column] = ids[table][row[column]]


def _moved_plan(plan: Any, by: timedelta) -> Any:
    """Returns a float plan whose moments are moved."""
    seconds = by.total_seconds()
    legs = [[at + seconds, *rates] for at, *rates in plan["legs"]]
    starts_by = plan["starts_by"]
    return plan | {"legs": legs, "starts_by": starts_by if starts_by is None else starts_by + seconds}
