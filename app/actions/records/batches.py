"""The batches of an order in the store: synced with a quote, when they may be filled, and which were started."""

from collections.abc import Mapping
from dataclasses import asdict
from datetime import datetime, timedelta
from typing import Any

from app.physics.balloon import Gas
from app.physics.endurance import Endurance
from app.physics.promise import Promise, Scatter
from app.planning.bench_window import BenchWindow, bench_window
from app.planning.moments import EPOCH
from app.planning.window import FloatPlan, Leg, Verdict
from app.quoting.parts import BatchSpec, match_commitments
from app.quoting.quote import Quote
from app.quoting.request import HandOver
from app.quoting.runs import BatchPlan
from app.quoting.shop import Shop
from app.store.models import Order, OrderBatch


def spec_of(batch: OrderBatch) -> BatchSpec:
    """Returns what the balloons of the batch have in common."""
    return BatchSpec(batch.balloon_type_id, Gas(batch.gas), batch.treated, batch.part, batch.hung_g)


def started_batches(order: Order) -> dict[BatchSpec, datetime]:
    """Returns when each started batch was started."""
    return {spec_of(batch): batch.started_at for batch in order.batches if batch.started_at}


def usable_window(
    not_before: datetime | None, inflate_by: datetime, ready_by: datetime, hand_over: str, shop: Shop
) -> BenchWindow:
    """Returns when a batch may be filled: at the bench in opening hours, at the venue whenever the crew is let
    in."""
    if hand_over == HandOver.VENUE:
        return BenchWindow(not_before, inflate_by, ready_by)
    return bench_window(not_before, inflate_by, ready_by, shop.opening)


def sync_batches(order: Order, quote: Quote) -> None:
    """Brings the order's batches in line with the quote.

    A batch that is filled alike keeps its key and its taps, whichever hand-over it is for now. A batch that is no
    longer needed is deleted, unless it was started: then it stays with a quantity of 0, so that the bench sees it.
    """
    wanted = [plan.fill.spec for plan in quote.batches]
    unmatched = match_commitments({spec_of(batch): batch for batch in order.batches}, wanted)
    for plan in quote.batches:
        batch = unmatched.pop(plan.fill.spec, None)
        if batch is None:
            order.batches_numbered += 1
            key = f"{order.number}-{order.batches_numbered}"
            batch = OrderBatch(key=key, filled=0, bursts=[], started_at=None, filled_at=None)
            order.batches.append(batch)
        _write(batch, plan)
    for batch in unmatched.values():
        if batch.started_at is None:
            order.batches.remove(batch)
        else:
            batch.quantity, batch.spares, batch.colours = 0, 0, []


def _write(batch: OrderBatch, plan: BatchPlan) -> None:
    """Writes the plan to the batch."""
    fill, window = plan.fill, plan.window
    batch.balloon_type_id, batch.balloon_type_name, batch.material = (
        fill.spec.balloon_type_id,
        fill.balloon_type.name,
        fill.balloon_type.material,
    )
    batch.gas, batch.treated, batch.part = fill.spec.gas, fill.spec.treated, fill.spec.part
    batch.quantity, batch.colours = fill.quantity, [list(pair) for pair in fill.colours]
    batch.spares = fill.spares
    batch.fill_size_in, batch.fill_share, batch.fill_why = (
        fill.size.diameter_in,
        fill.size.share,
        list(fill.size.why),
    )
    batch.work_minutes = int(fill.work.total_seconds() // 60)
    batch.not_before, batch.inflate_by, batch.ready_by = window.not_before, window.own_inflate_by, plan.ready_by
    batch.chance, batch.verdict = window.chance, window.verdict
    starts_by = {"starts_by": (window.inflate_by - EPOCH).total_seconds()}
    batch.float_plan = _write_float_plan(plan.float_plan) | starts_by
    batch.weight_g = fill.weight_g
    batch.hung_g, batch.load_g = fill.spec.hung_g, fill.load_g


def promised_start(batch: OrderBatch) -> datetime:
    """Returns the start that the batch's chance was promised for: the latest that the shared bench allowed when the
    order was saved."""
    saved = batch.float_plan.get("starts_by")
    return batch.inflate_by if saved is None else EPOCH + timedelta(seconds=saved)


def read_float_plan(saved: Mapping[str, Any]) -> FloatPlan:
    """Returns the float plan that was saved."""
    owns = Endurance(
        budget=saved["budget"],
        scatter=Scatter(**saved["scatter"]),
        wet_hours=saved["wet_hours"],
        slowed=saved["slowed"],
        promise=Promise(**saved["promise"]),
    )
    legs = tuple(
        Leg(ends=EPOCH + timedelta(seconds=ends), loss_rate=loss, light_rate=light)
        for ends, loss, light in saved["legs"]
    )
    return FloatPlan(owns, legs, Verdict(saved["wind"]))


def _write_float_plan(plan: FloatPlan) -> dict[str, Any]:
    """Returns the float plan in the form in which it is saved."""
    owns = plan.endurance
    return {
        "budget": owns.budget,
        "scatter": asdict(owns.scatter),
        "wet_hours": owns.wet_hours,
        "slowed": owns.slowed,
        "promise": asdict(owns.promise),
        "legs": [[(leg.ends - EPOCH).total_seconds(), leg.loss_rate, leg.light_rate] for leg in plan.legs],
        "wind": plan.wind,
    }
