"""This module lets some batches of the invented year take longer than planned and others less, by person and day."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from random import Random

from app.demo.year.days import OPENS
from app.demo.year.records import Row
from app.quoting.shop import Shop
from app.quoting.states import TapAction

PACES = (0.88, 1.0, 1.22)
"""How long each of the staff takes, as a share of what is planned."""
OF_DAY, OF_BATCH = 0.1, 0.12
"""How much days and batches differ."""
LEAST, MOST = 0.6, 1.7


class WorkScatter:
    """How much longer or less long than planned batches take."""

    def __init__(self, staff: Sequence[str], shop: Shop) -> None:
        self._staff = staff
        self._zone = shop.zone

    def spread_work(self, rows: Mapping[str, list[Row]]) -> None:
        """Moves the start and the bursts of each filled batch; when it was full stays as it is. rows: of one
        order."""
        for batch in rows["batch"]:
            taps = [row for row in rows["tap"] if row["batch_id"] == batch["id"]]
            ends = [row for row in taps if row["act"] == TapAction.FINISH]
            start = batch["started_at"]
            if len(ends) != 1 or start is None or start >= ends[0]["at"]:
                continue
            end = ends[0]["at"]
            share = self._share(ends[0]["who"], batch)
            if (end - (end - start) * share).astimezone(self._zone).hour < OPENS:
                share = min(share, 1.0)
            moved = {row["at"]: _whole(end - (end - row["at"]) * share) for row in taps if start <= row["at"] < end}
            moves = [row for row in rows["stock_move"] if row["batch_id"] == batch["id"]]
            for row in (*taps, *moves):
                row["at"] = moved.get(row["at"], row["at"])
            batch["started_at"] = moved[start]
        ids = sorted(row["id"] for row in rows["tap"])
        in_order = sorted(rows["tap"], key=lambda row: (row["at"], row["id"]))
        for tap, number in zip(in_order, ids, strict=True):
            tap["id"] = number

    def _share(self, who: str, batch: Row) -> float:
        """Returns how long a batch takes, as a share of what is planned: the same each time it is asked."""
        pace = PACES[self._staff.index(who) % len(PACES)]
        of_day = Random(f"{who} {batch['filled_at']:%Y-%m-%d}").gauss(1.0, OF_DAY)
        of_batch = Random(batch["key"]).gauss(1.0, OF_BATCH)
        return min(max(pace * of_day * of_batch, LEAST), MOST)


def _whole(moment: datetime) -> datetime:
    return moment.replace(microsecond=0)
