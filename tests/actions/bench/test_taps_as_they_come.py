"""Whatever is tapped at a batch, and however long nobody taps it: board, work left, stock and gas say what the taps
say.

The taps are counted here by hand, one after another, as somebody would who reads them on the ticket.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import count as counting

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test
from sqlalchemy import func, select

from app.actions.bench.taps import Press, tap_batch, undo_tap
from app.actions.context import Context
from app.actions.gas.balance import gas_now
from app.actions.records.open_work import load_work
from app.actions.records.shop import load_roster
from app.quoting.errors import Refused
from app.quoting.states import TapAction
from app.store.models import Tap
from app.store.queries.order_batches import one_batch
from app.web.batch_state import state_of, window_of
from tests.actions.builders import EIGHT, WHO, at, line, order_request, take
from tests.actions.cylinder_helpers import by_gauge, elevens, in_use
from tests.actions.stock_helpers import balanced, lot, on_hand

ORDERED, ON_THE_SHELF, GAUGE = 12, 100, 150
MINUTE = timedelta(minutes=1)


@dataclass
class Entry:
    """A tap as it stands on the ticket."""

    id: int
    act: TapAction
    count: int
    at: datetime


class Taps(RuleBasedStateMachine):
    """What is tapped at one batch, which nobody has tapped yet."""

    def __init__(self, session, shop, catalogue, batch):
        super().__init__()
        self.session, self.shop, self.catalogue, self.batch = session, shop, catalogue, batch
        self.savepoint, self.roster = session.begin_nested(), load_roster(session, shop.opening)
        self.now, self.keys = EIGHT, counting()
        self.wait = 2 * self.batch.work_minutes * MINUTE
        self.entries = []
        self.logged = 0

    def teardown(self):
        self.savepoint.rollback()

    @property
    def context(self):
        return Context(self.session, WHO, self.shop, self.catalogue, self.now)

    def _press(self, act, number=0, colour=""):
        """Presses it, and once more with the same key; returns whether it was refused."""
        press = Press(TapAction(act), f"press {next(self.keys)}", number, colour, sure=True)
        try:
            for _ in range(2):
                tap_batch(self.context, self.batch.key, press)
        except Refused:
            return True
        finally:
            self.session.flush()
        return False

    def _log(self, act, number=0):
        self.logged += 1
        newest = self.session.scalar(select(func.max(Tap.id)))
        self.entries.append(Entry(newest, act, number, self.now))

    @property
    def started(self):
        return any(one.act not in (TapAction.CONTINUE, TapAction.STOP) for one in self.entries)

    @property
    def filled(self):
        filled = 0
        for one in self.entries:
            if one.act in (TapAction.FILL, TapAction.FINISH):
                filled += one.count
            elif one.act is TapAction.LOSE:
                filled = max(0, filled - one.count)
        return filled

    @property
    def state(self):
        if not self.started:
            return None
        if self.filled >= ORDERED:
            return "filled"
        others = [one for one in self.entries if one.act is not TapAction.BURST]
        if others and others[-1].act is TapAction.STOP:
            return "stopped"
        return "idle" if self.now >= self.entries[-1].at + self.wait else "started"

    @rule()
    def start(self):
        is_new = not self.started
        assert not self._press("start")
        if is_new:
            self._log(TapAction.START)

    @rule(number=st.sampled_from([1, 5]))
    def fill(self, number):
        fits = number <= ORDERED - self.filled
        assert self._press("fill", number) is not fits
        if fits:
            self._log(TapAction.FILL, number)

    @rule()
    def all_filled(self):
        rest = ORDERED - self.filled
        assert not self._press("finish")
        if rest:
            self._log(TapAction.FINISH, rest)

    @rule()
    def burst(self):
        act = TapAction.LOSE if self.filled == ORDERED else TapAction.BURST
        assert not self._press("burst", colour="red")
        self._log(act, 1)

    @rule(act=st.sampled_from([TapAction.CONTINUE, TapAction.STOP]))
    def answer(self, act):
        state = self.state
        assert self._press(act) is (state is None)
        if state == "idle" or state == {TapAction.CONTINUE: "stopped", TapAction.STOP: "started"}[act]:
            self._log(act)

    @precondition(lambda self: self.entries)
    @rule(place=st.integers(0, 30))
    def undo(self, place):
        entry = self.entries[-1 - place % len(self.entries)]
        later = {one.act for one in self.entries[self.entries.index(entry) + 1 :]}
        replaced = entry.act is TapAction.LOSE and later & {TapAction.FILL, TapAction.FINISH}
        try:
            undo_tap(self.context, self.batch.key, entry.id)
        except Refused:
            assert replaced
        else:
            self.entries.remove(entry)

    @rule(minutes=st.sampled_from([5, 15, 25]))
    def nobody_taps(self, minutes):
        self.now += minutes * MINUTE

    @invariant()
    def the_batch_is_what_its_taps_say(self):
        assert 0 <= self.filled <= ORDERED
        assert self.batch.filled == self.filled
        assert sum(number for _, number in self.batch.bursts) == self._number(TapAction.BURST, TapAction.LOSE)
        assert (self.batch.filled_at is not None) is (self.state == "filled")
        assert (self.batch.started_at is not None) is self.started
        assert self.session.scalar(select(func.count()).select_from(Tap)) == self.logged

    @invariant()
    def the_board_says_it(self):
        self.session.flush()
        row = one_batch(self.session, self.batch.key)
        state = state_of(row, window_of(row, self.shop), self.now, self.shop)
        assert state == self.state or (self.state is None and state in ("early", "open", "due", "late"))

    @invariant()
    def the_plan_counts_what_is_left(self):
        (order,) = load_work(self.context, self.roster, [self.now]).orders
        left_to_do = sum(fill.batch.work_seconds for fill in order.fills)
        each = self.batch.work_minutes * 60 / ORDERED
        whole = each * (ORDERED - self.filled)
        if self.state == "started":
            assert min(each, whole) - 0.01 <= left_to_do <= whole + 0.01
        else:
            assert left_to_do == pytest.approx(whole)

    @invariant()
    def stock_and_gas_follow(self):
        bursts = self._number(TapAction.BURST, TapAction.LOSE)
        full = ORDERED if self.state == "filled" else 0
        assert on_hand(self.session, "red") == ON_THE_SHELF - full - bursts
        assert balanced(self.session)
        gone = self._number(TapAction.FILL, TapAction.FINISH, TapAction.BURST)
        (cylinder,) = gas_now(self.context)
        assert cylinder.left == pytest.approx(by_gauge(self.shop, GAUGE) - elevens(self.shop, gone))

    def _number(self, *acts):
        return sum(one.count for one in self.entries if one.act in acts)


@pytest.fixture
def batch(session, catalogue):
    """Of 12 red 11-inch, due at the end of the day, with a lot of 100 and a cylinder at 150 bar."""
    lot(session, ON_THE_SHELF)
    in_use(session, bar=GAUGE)
    hours = {"ready_by": at(17), "event_start": at(17, 30), "lasts_until": at(19)}
    return take(session, order_request(catalogue, line(catalogue, quantity=ORDERED), **hours)).batches[0]


def test_board_plan_stock_and_gas_say_what_the_taps_say(session, shop, catalogue, batch):
    run_state_machine_as_test(
        lambda: Taps(session, shop, catalogue, batch),
        settings=settings(
            max_examples=10,
            stateful_step_count=16,
            phases=[Phase.reuse, Phase.generate],  # to shorten what failed takes minutes, and 16 taps can be read
            suppress_health_check=[HealthCheck.too_slow],
        ),
    )
