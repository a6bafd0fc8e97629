"""The shop and its catalogue, built once for each version of what they come from."""

from dataclasses import dataclass

from sqlalchemy.orm import Session

from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.quoting.catalogue import Catalogue
from app.quoting.shop import Shop
from app.store.shop_version import shop_version


@dataclass(frozen=True, slots=True)
class BuiltShop:
    """The shop and its catalogue."""

    version: int | None
    shop: Shop
    catalogue: Catalogue


class ShopCache:
    """The shop that one process built last. Threads share it: the whole entry is replaced at once."""

    def __init__(self) -> None:
        self._latest: BuiltShop | None = None

    def load(self, session: Session) -> BuiltShop:
        """Returns the shop and the catalogue as this session sees them. What the session itself has changed is
        never cached."""
        version = shop_version(session)
        if version is not None and self._latest is not None and self._latest.version == version:
            return self._latest
        built = BuiltShop(version, load_shop(session), load_catalogue(session))
        if version is not None:
            self._latest = built
        return built
