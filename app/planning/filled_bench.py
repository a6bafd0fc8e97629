"""This module fills a bench with a whole workload."""

from app.planning.arrays import IntArray, np
from app.planning.flow import Bench, Flow, Workload, slots_of
from app.planning.kept_flow import FlowJob, KeptFlow, Name


def fill_bench(bench: Bench, load: Workload, begins: IntArray, order: IntArray) -> tuple[KeptFlow, set[Name]]:
    """Returns the flow of as much of a workload as fits, when no batch starts before the second at which it begins,
    and the smallest set of batches that are too much for their hours. Batches have their numbers as names, and are
    added in this order."""
    columns = (load.gas, begins, load.ends, load.work)
    flow, too_much = KeptFlow.empty(bench, [*begins.tolist(), *load.ends.tolist()]), set[Name]()
    jobs = [
        FlowJob(gas=gas, begin=begin, end=end, left=work)
        for gas, begin, end, work in zip(*(column.tolist() for column in columns), strict=True)
    ]
    for batch in order.tolist():
        flow.jobs[batch] = jobs[batch]
        if flow.fill(batch):
            too_much.update(flow.met)
    return flow, too_much


def largest_flow(bench: Bench, load: Workload, begins: IntArray) -> Flow:
    """Returns the same in the form of a flow.

    Batches that begin last are added first: each takes the latest free hands, and those that others need before
    them stay free, so that hardly any must make way.
    """
    flow, too_much = fill_bench(bench, load, begins, np.lexsort((-load.ends, -begins)))
    cut = np.isin(np.arange(len(load.work)), [*too_much])
    short = sum(job.left for job in flow.jobs.values())
    return Flow(load, slots_of(bench, begins, load.ends), short, cut)
