"""Bench: how the design that a batch goes into should look when it is done."""

from app.actions.parts import BatchOf
from app.actions.sold_rows import read_parts
from app.physics.balloon import Gas
from app.store.models import Photo
from app.store.queries.bench import BatchRow
from app.store.queries.photos import pictured_lines
from app.web.door import visit


def pictured_with(row: BatchRow) -> list[tuple[str, Photo]]:
    """Titles and first photos of the designs with such balloons in them."""
    batch = BatchOf(row.kind_id, Gas(row.gas), row.treated, row.later)
    found: dict[str, Photo] = {}
    for line, photo in pictured_lines(visit().session, row.order_number):
        if batch in read_parts(line.parts):
            found.setdefault(line.title, photo)
    return list(found.items())
