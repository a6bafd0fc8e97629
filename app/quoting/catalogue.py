"""What can be sold, as the shop has it now: balloon types with their prices, supplies, and designs made of both."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from app.physics.balloon import BalloonType, Gas
from app.physics.material import Material
from app.quoting.states import SupplySort, SupplyUnit


@dataclass(frozen=True, slots=True)
class BalloonOffer:
    """A balloon type as the shop sells it. Prices are in minor units.

    price_minor: of one that the shop sells. treated_minor: of one that it sells treated; None means its price and
    the shop's treatment price. fill_minor, top_up_minor: of the customer's own one filled, of one
    topped up; None means that the shop does not offer it. pack_minor: what pack_size of them cost the shop.
    archived_at: since when it is not offered any more; orders and designs that have it keep it.
    """

    id: int
    balloon_type: BalloonType
    shape: str
    price_minor: int
    fill_minor: int | None
    top_up_minor: int | None
    pack_size: int
    pack_minor: int
    archived_at: datetime | None
    treated_minor: int | None = None

    @property
    def name(self) -> str:
        """The name of the balloon type."""
        return self.balloon_type.name

    @property
    def material(self) -> Material:
        """The material of the balloon type."""
        return self.balloon_type.material

    @property
    def nominal_in(self) -> float:
        """The nominal size in inches."""
        return self.balloon_type.nominal_in

    @property
    def air_only(self) -> bool:
        """Whether it is too small or too heavy to float."""
        return self.balloon_type.air_only


@dataclass(frozen=True, slots=True)
class Supply:
    """Something that goes into or with a piece and is not a balloon.

    pack_minor: what pack_size units cost the shop. price_minor: of one unit to a customer; None means that it is
    not sold by itself. grams: of one unit as it is used. width_cm: of a bag laid flat, of a plush pressed together.
    deposit_minor: of one that is rented, given back with it.
    """

    id: int
    name: str
    sort: SupplySort
    unit: SupplyUnit
    pack_size: float
    pack_minor: int
    price_minor: int | None
    grams: float | None
    width_cm: float | None
    deposit_minor: int
    archived_at: datetime | None


@dataclass(frozen=True, slots=True)
class Part:
    """Balloons of one type in a design. colours: fixed ones with their counts; empty lets the customer choose.
    hung_g: grams of what hangs on each of them besides ribbon and tag, such as a gift or a card."""

    balloon_type_id: int
    gas: Gas
    quantity: int
    colours: tuple[tuple[str, int], ...] = ()
    hung_g: float = 0.0


@dataclass(frozen=True, slots=True)
class PartSupply:
    """So many units of a supply in one of a design."""

    supply_id: int
    quantity: float


@dataclass(frozen=True, slots=True)
class Design:
    """Something that the shop sells from a photo.

    id: 0 for one that is not saved. computed: whether its price follows from its cost; then price_minor is not
    used. steps: of its assembly, one sentence each. seasons: first and last day as MM-DD; empty is all year. build:
    how it is put together, {"form": …, and its figures}.
    """

    id: int
    name: str
    price_minor: int
    assembly_minutes: float
    computed: bool
    steps: tuple[str, ...]
    seasons: tuple[tuple[str, str], ...]
    build: Mapping[str, Any]
    parts: tuple[Part, ...]
    supplies: tuple[PartSupply, ...]
    archived_at: datetime | None


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Everything by its id, including what is archived."""

    balloon_types: Mapping[int, BalloonOffer]
    designs: Mapping[int, Design]
    supplies: Mapping[int, Supply]

    @property
    def offered_types(self) -> list[BalloonOffer]:
        """The balloon types that are sold; archived ones only stay for the orders and designs that have them."""
        return [offer for offer in self.balloon_types.values() if offer.archived_at is None]
