"""This module reads the catalogue from the store."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.physics.balloon import Gas
from app.quoting.catalogue import BalloonOffer, Catalogue, Design, Part, PartSupply, Supply
from app.store.models import BalloonTypeRow, DesignRow, SupplyRow


def load_catalogue(session: Session) -> Catalogue:
    """Returns the catalogue: balloon types in the order in which they were added, supplies and designs by name."""
    balloon_types = session.scalars(select(BalloonTypeRow).order_by(BalloonTypeRow.id))
    supplies = session.scalars(select(SupplyRow).order_by(SupplyRow.name))
    designs = session.scalars(select(DesignRow).order_by(DesignRow.name))
    return Catalogue(
        balloon_types={row.id: offer_of(row) for row in balloon_types},
        designs={row.id: design_of(row) for row in designs},
        supplies={row.id: supply_of(row) for row in supplies},
    )


def offer_of(row: BalloonTypeRow) -> BalloonOffer:
    """Returns the row as a balloon type."""
    return BalloonOffer(
        id=row.id,
        balloon_type=row.balloon_type,
        shape=row.shape,
        price_minor=row.price_minor,
        fill_minor=row.fill_minor,
        top_up_minor=row.top_up_minor,
        pack_size=row.pack_size,
        pack_minor=row.pack_minor,
        archived_at=row.archived_at,
        treated_minor=row.treated_minor,
    )


def supply_of(row: SupplyRow) -> Supply:
    """Returns the row as a supply."""
    return Supply(
        id=row.id,
        name=row.name,
        sort=row.sort,
        unit=row.unit,
        pack_size=row.pack_size,
        pack_minor=row.pack_minor,
        price_minor=row.price_minor,
        grams=row.grams,
        width_cm=row.width_cm,
        deposit_minor=row.deposit_minor,
        archived_at=row.archived_at,
    )


def design_of(row: DesignRow) -> Design:
    """Returns the row as a design."""
    return Design(
        id=row.id,
        name=row.name,
        price_minor=row.price_minor,
        assembly_minutes=row.assembly_minutes,
        computed=row.computed,
        steps=tuple(row.steps),
        seasons=tuple((first, last) for first, last in row.seasons),
        build=row.build,
        parts=tuple(
            Part(
                balloon_type_id=part.balloon_type_id,
                gas=Gas(part.gas),
                quantity=part.quantity,
                colours=tuple((name, count) for name, count in part.colours),
                hung_g=part.hung_g,
            )
            for part in row.parts
        ),
        supplies=tuple(PartSupply(one.supply_id, one.quantity) for one in row.supplies),
        archived_at=row.archived_at,
    )
