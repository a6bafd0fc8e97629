"""What a shop has not entered yet, which it needs to sell safely."""

from dataclasses import dataclass

from app.quoting.catalogue import Catalogue
from app.quoting.settings.all_settings import SETTINGS
from app.quoting.shop import Shop
from app.quoting.states import SupplySort

DEFAULTS = {setting.key: setting.default for setting in SETTINGS}


@dataclass(frozen=True, slots=True)
class Entered:
    """What else is stored of the shop. cylinder, staff: whether one was ever entered. backup_elsewhere: whether its
    backups are on another disk than its file."""

    cylinder: bool = False
    staff: bool = False
    backup_elsewhere: bool = False


@dataclass(frozen=True, slots=True)
class Missing:
    """name, zone, address, phone: of the shop. unpriced: how many balloon types on offer have no price.
    all_unpriced: whether that is each of them. weights: of helium balloons; cylinders: of helium; both count only
    where helium is used. staff: names to sign with. backups: on another disk."""

    name: bool = False
    zone: bool = False
    address: bool = False
    phone: bool = False
    unpriced: int = 0
    all_unpriced: bool = False
    weights: bool = False
    cylinders: bool = False
    staff: bool = False
    backups: bool = False

    @property
    def things(self) -> tuple[str, ...]:
        """The names of what is missing, what costs most first."""
        found = {"prices": self.unpriced, "zone": self.zone, "backups": self.backups, "weights": self.weights}
        found |= {"cylinders": self.cylinders, "staff": self.staff, "name": self.name}
        found |= {"address": self.address, "phone": self.phone}
        return tuple(name for name, is_missing in found.items() if is_missing)

    def __bool__(self) -> bool:
        return bool(self.things)


def find_missing(shop: Shop, catalogue: Catalogue, entered: Entered) -> Missing:
    """Returns what is missing. A shop whose clocks show UTC has not entered its time zone: each place has one of
    its own, also where the clocks show the same."""
    offered = [row for row in catalogue.balloon_types.values() if row.archived_at is None]
    unpriced = sum(not row.price_minor for row in offered)
    uses_helium = any(not row.air_only for row in offered)
    weights = [
        row for row in catalogue.supplies.values() if row.sort == SupplySort.WEIGHT and row.archived_at is None
    ]
    return Missing(
        name=shop.display["name"] == DEFAULTS["name"],
        zone=shop.display["zone"] == DEFAULTS["zone"],
        address=not shop.display["shop_address"],
        phone=not shop.display["shop_phone"],
        unpriced=unpriced,
        all_unpriced=unpriced == len(offered),
        weights=uses_helium and not weights,
        cylinders=uses_helium and not entered.cylinder,
        staff=not entered.staff,
        backups=not entered.backup_elsewhere,
    )
