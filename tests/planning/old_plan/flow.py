"""As much of a workload as fits on a bench, solved anew by scipy, as it was done before a flow was kept."""

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import breadth_first_order, maximum_flow

from app.planning.flow import HANDS_ONLY, Bench, BoolArray, IntArray, Slots, Workload, slots_of


@dataclass(frozen=True, slots=True)
class Flow:
    """As much of a workload as fits on a bench.

    short: hand-seconds that do not fit. cut: the batches that together are too much for their hours, which are
    those on the source's side of a minimum cut, and the smallest such set; none when everything fits. edges: the
    seconds that flow along each edge of the graph.
    """

    load: Workload
    slots: Slots
    short: int
    cut: BoolArray
    edges: csr_array


def largest_flow(bench: Bench, load: Workload, begins: IntArray) -> Flow:
    """Returns as much of the work as fits, when no batch starts before the second at which it begins."""
    slots = slots_of(bench, begins, load.ends)
    graph, sink = _graph(load, slots)
    found = maximum_flow(graph, 0, sink)
    short = int(load.work.sum()) - int(found.flow_value)
    no_batch = np.zeros(len(load.work), bool)
    cut = _source_side(graph - found.flow)[1 : len(load.work) + 1] if short else no_batch
    return Flow(load, slots, short, cut, found.flow)


def _pairs(slots: Slots) -> tuple[IntArray, IntArray]:
    """Returns two columns, a batch and a slot, with one row for each slot that a batch can use."""
    count = slots.last - slots.first
    batch = np.repeat(np.arange(len(count)), count)
    place = np.arange(len(batch)) - np.repeat(np.cumsum(count) - count, count)
    return batch, place + slots.first[batch]


def _graph(load: Workload, slots: Slots) -> tuple[csr_array, int]:
    """Returns the graph of the bench, with the capacity of each edge in seconds, and the number of its sink.

    Its nodes are the source (0), the batches, each gas in each slot, the slots, and the sink. The edges are listed
    by the node that they leave, so that they need no sorting.
    """
    batches, gases, many = len(load.work), *slots.points.shape
    batch, slot = _pairs(slots)
    first_gas, first_slot = 1 + batches, 1 + batches + gases * many
    sink = first_slot + many
    gas = load.gas[batch]
    rates = np.vstack((slots.points, slots.hands))  # the last row is that of HANDS_ONLY
    into = first_gas + np.where(gas == HANDS_ONLY, gases, gas) * many + slot
    leaving = np.concatenate(([batches], slots.last - slots.first, np.ones((gases + 1) * many, int), [0]))
    heads = (1 + np.arange(batches), into, first_slot + np.tile(np.arange(many), gases), np.full(many, sink))
    seconds = rates * slots.lengths
    widths = (load.work, np.minimum(load.work[batch], seconds[gas, slot]), seconds.ravel())
    # A width above all the work limits nothing, and the solver counts in 32 bits.
    data = np.minimum(np.concatenate(widths), load.work.sum()).astype(np.int32)
    starts = np.concatenate(([0], np.cumsum(leaving))).astype(np.int32)
    indices = np.concatenate(heads).astype(np.int32)
    return csr_array((data, indices, starts), shape=(sink + 1, sink + 1)), sink


def _source_side(residual: csr_array) -> BoolArray:
    """Returns the nodes that can still be reached from the source, which are its side of a minimum cut."""
    residual.eliminate_zeros()
    reached = np.zeros(residual.shape[0], bool)
    reached[breadth_first_order(residual, 0, return_predecessors=False)] = True
    return reached
