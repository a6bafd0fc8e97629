"""Bench: the steps of a ticket: how its batch is filled, and how the pieces that it goes into are built."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from app.actions.bench.build_sheets import OrderLineSheet, has_sheet, sheets_of_lines, use_of_order_batch
from app.actions.records.batches import spec_of
from app.actions.records.sold_rows import read_parts
from app.craft.drawing import Ball
from app.craft.fill_steps import FillTask, fill_steps
from app.craft.piece import CM_PER_INCH
from app.craft.step_aids import draw_loose
from app.physics.balloon import Gas
from app.quoting.batch_use import BatchUse
from app.quoting.build_sheets.bouquets import in_turn
from app.quoting.build_sheets.finish import SoldSingly, single_steps
from app.quoting.parts import BatchSpec
from app.store.models import Order, Photo
from app.store.queries.bench import BoardRow
from app.store.queries.order_batches import order_to_build
from app.store.queries.photos import first_photos
from app.web.drawings.balloon_looks import PieceColours
from app.web.drawings.build_sheet import ShownSheet, ShownStep, picture_steps, show_sheet
from app.web.requests import request_context
from app.web.wording.fill_steps import show_fill_steps
from app.web.wording.piece_steps import NumberedStep


@dataclass(frozen=True, slots=True)
class TicketSheet:
    """A build sheet on a ticket. leader: the batch with most of the piece's balloons, on whose ticket the sheet
    stands open; empty if that is this batch."""

    shown: ShownSheet
    leader: str = ""


@dataclass(frozen=True, slots=True)
class TicketSteps:
    """The steps of a ticket. fill: of its batch. sheets: of the designs that its balloons go into. singles: how
    many are sold singly; single: the steps of those. pictured: titles and first photos of those designs."""

    fill: Sequence[NumberedStep]
    sheets: Sequence[TicketSheet] = ()
    singles: int = 0
    single: Sequence[ShownStep] = ()
    pictured: Sequence[tuple[str, Photo]] = ()


def show_ticket_steps(row: BoardRow) -> TicketSteps:
    """Returns the steps of the batch, and of the pieces of its order into which its balloons go."""
    here = request_context()
    batch = BatchSpec(row.balloon_type_id, Gas(row.gas), row.treated, row.part, row.hung_g)
    order = order_to_build(here.session, row.order_number)
    use = use_of_order_batch(order, batch, here.catalogue) if order else _all_singly(row)
    lines = sheets_of_lines(order, here.shop, here.catalogue, batch) if order and has_sheet(order) else ()
    return TicketSteps(
        fill=_fill(row, use),
        sheets=[_ticket_sheet(one, order, batch) for one in lines] if order else (),
        singles=use.singly,
        single=_single(row, use) if use.singly else (),
        pictured=_pictured(order, batch) if order else (),
    )


def _ticket_sheet(line_sheet: OrderLineSheet, order: Order, batch: BatchSpec) -> TicketSheet:
    """Returns the sheet of a line as it stands on the ticket of this batch: open on one ticket of the order."""
    shown = show_sheet(line_sheet.sheet, request_context().formats)
    parts = next(read_parts(line.parts) for line in order.lines if line.position == line_sheet.position)
    leader = max(parts, key=lambda spec: sum(parts[spec].values()))
    keys = {spec_of(one): one.key for one in order.batches}
    return TicketSheet(shown, "" if leader == batch else keys.get(leader, ""))


def _all_singly(row: BoardRow) -> BatchUse:
    """Returns the use of a batch whose order has no design."""
    is_stuffed = row.material.traits.is_stuffed(air_only=row.air_only)
    return BatchUse(singly=row.quantity, stuffed=row.quantity if is_stuffed else 0)


def _fill(row: BoardRow, use: BatchUse) -> tuple[NumberedStep, ...]:
    """Returns how the batch is filled."""
    here, gas = request_context(), Gas(row.gas)
    task = FillTask(
        row.material,
        gas,
        row.quantity,
        row.fill_size_in,
        row.fill_share,
        row.treated,
        round(here.shop.work_times.drying_minutes),
        use.paired,
        use.stuffed,
    )
    return show_fill_steps(fill_steps(task), row.material, gas, here.formats)


def _single(row: BoardRow, use: BatchUse) -> tuple[ShownStep, ...]:
    """Returns how the balloons that are sold singly are finished."""
    here = request_context()
    singles = SoldSingly(
        use.singly,
        Gas(row.gas),
        here.shop.pricing.ribbon_m * 100,
        math.ceil(row.weight_g or 0.0),
        row.material.traits.is_stuffed(air_only=row.air_only),
        row.at_venue,
    )
    is_film = row.material.traits.is_topper
    names = tuple(name for name, _ in row.colours)
    radius = row.fill_size_in * CM_PER_INCH / 2
    balls = [
        Ball(0.0, 0.0, radius, None, names.index(name)) if is_film else Ball(0.0, 0.0, radius, names.index(name))
        for name in in_turn(row.colours)
    ]
    drawing = draw_loose(balls[: use.singly], on_ribbons=row.gas == Gas.HELIUM)
    colours = PieceColours(films=names) if is_film else PieceColours(names)
    return picture_steps(drawing, single_steps(singles), colours, here.formats)


def _pictured(order: Order, batch: BatchSpec) -> list[tuple[str, Photo]]:
    """Returns titles and first photos of the designs into which the batch's balloons go."""
    lines = [line for line in order.lines if line.design_id and batch in read_parts(line.parts)]
    titles = {line.design_id: line.title for line in lines if line.design_id}
    photos = first_photos(request_context().session, titles) if titles else {}
    return [(title, photos[design_id]) for design_id, title in titles.items() if design_id in photos]
