"""The bench with tails, solved exactly by integer programming (HiGHS, through scipy.optimize.milp) on a grid of
five minutes: an independent check, far too slow for a counter."""

import math

import numpy as np

from tests.later import optimize, sparse

STEP = 300
FITS, INFEASIBLE = 0, 2


class _Model:
    """Variables by name, and rows of a system of inequalities."""

    def __init__(self):
        self.index, self.upper, self.whole = {}, [], []
        self.rows, self.low, self.high = [], [], []

    def variable(self, name, upper, *, whole=False):
        self.index[name] = len(self.upper)
        self.upper.append(upper)
        self.whole.append(int(whole))

    def row(self, terms, low, high):
        self.rows.append({self.index[name]: factor for name, factor in terms.items()})
        self.low.append(low)
        self.high.append(high)

    def status(self):
        entries = [(factor, row, place) for row, terms in enumerate(self.rows) for place, factor in terms.items()]
        data, rows, columns = zip(*entries, strict=True)
        matrix = sparse.coo_array((data, (rows, columns)), shape=(len(self.rows), len(self.upper))).tocsr()
        return optimize.milp(
            np.zeros(len(self.upper)),
            constraints=optimize.LinearConstraint(matrix, self.low, self.high),
            bounds=optimize.Bounds(0, self.upper),
            integrality=self.whole,
            options={"time_limit": 30},
        ).status


def can_fit(orders, shift, points):
    """Whether all orders can be ready: one shift, all times on the grid."""
    model, steps = _Model(), range(int((shift.end - shift.start).total_seconds()) // STEP)
    most = shift.hands * STEP

    def step_of(moment):
        return (moment - shift.start).total_seconds() / STEP

    for order in orders:
        due = math.floor(step_of(order.ready_by))
        for step in range(len(steps) + 1):  # past[step]: the start of finishing is at this step or before it
            model.variable(("past", order.key, step), 1, whole=True)
            if step:
                model.row({("past", order.key, step - 1): 1, ("past", order.key, step): -1}, -np.inf, 0)
        for fill in order.fills:
            _add_fill(model, order, fill, steps, step_of, due, most)
        for step in steps:
            model.variable(("finish", order.key, step), most if step + 1 <= due else 0)
            model.row({("finish", order.key, step): 1, ("past", order.key, step): -most}, -np.inf, 0)
        model.row({("finish", order.key, step): 1 for step in steps}, *[order.finish_seconds] * 2)
    fills = [fill.batch for order in orders for fill in order.fills]
    for step in steps:
        work = {("fill", batch.key, step): 1 for batch in fills}
        model.row(work | {("finish", order.key, step): 1 for order in orders}, -np.inf, most)
        for gas, number in points.items():
            mine = {("fill", batch.key, step): 1 for batch in fills if batch.gas == gas}
            if mine:
                model.row(mine, -np.inf, number * STEP)
    return model.status() == FITS


def _add_fill(model, order, fill, steps, step_of, due, most):
    first, drying_time = (
        math.ceil(step_of(fill.batch.not_before)),
        math.ceil(fill.drying_time.total_seconds() / STEP),
    )
    for step in steps:
        name = ("fill", fill.batch.key, step)
        model.variable(name, most if step >= first and step + 1 + drying_time <= due else 0)
        if step + drying_time <= len(
            steps
        ):  # still filled in this step: the start of finishing is not before it has dried
            model.row({name: 1, ("past", order.key, step + drying_time): most}, -np.inf, most)
    model.row({("fill", fill.batch.key, step): 1 for step in steps}, *[fill.batch.work_seconds] * 2)
