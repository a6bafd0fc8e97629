"""What a shop has not entered yet, which it needs to sell."""

from dataclasses import dataclass

from app.quoting.catalogue import Catalogue
from app.quoting.settings.all_settings import SETTINGS
from app.quoting.shop import Shop
from app.quoting.states import SupplySort

DEFAULT_NAME = next(setting.default for setting in SETTINGS if setting.key == "name")


@dataclass(frozen=True, slots=True)
class Missing:
    """name, address, phone: of the shop. unpriced: how many balloon types on offer have no price. all_unpriced:
    whether that is each of them. weights: of helium balloons; cylinders: of helium; both count only where helium is
    used."""

    name: bool = False
    address: bool = False
    phone: bool = False
    unpriced: int = 0
    all_unpriced: bool = False
    weights: bool = False
    cylinders: bool = False

    def __bool__(self) -> bool:
        return any((self.name, self.address, self.phone, self.unpriced, self.weights, self.cylinders))


def find_missing(shop: Shop, catalogue: Catalogue, *, has_cylinder: bool) -> Missing:
    """Returns what is missing. has_cylinder: whether a cylinder was ever entered."""
    offered = [row for row in catalogue.balloon_types.values() if row.archived_at is None]
    unpriced = sum(not row.price_minor for row in offered)
    uses_helium = any(not row.air_only for row in offered)
    weights = [
        row for row in catalogue.supplies.values() if row.sort == SupplySort.WEIGHT and row.archived_at is None
    ]
    return Missing(
        name=shop.display["name"] == DEFAULT_NAME,
        address=not shop.display["shop_address"],
        phone=not shop.display["shop_phone"],
        unpriced=unpriced,
        all_unpriced=unpriced == len(offered),
        weights=uses_helium and not weights,
        cylinders=uses_helium and not has_cylinder,
    )
