"""What every action gets passed in."""

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any, TypeVar

from sqlalchemy.orm import Session

from app.actions.kept import KeptFindings
from app.planning.shoptime import local_day, minute_up
from app.quoting.catalogue import Catalogue
from app.quoting.shop import Shop
from app.store.work_version import work_version

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Context:
    """session: of this request or command, committed once at its end. who: the name written into the history. now:
    aware UTC. kept: what earlier requests found out."""

    session: Session
    who: str
    shop: Shop
    catalogue: Catalogue
    now: datetime
    kept: KeptFindings = field(default_factory=KeptFindings, compare=False, repr=False)

    def keep(self, key: Hashable, find: Callable[["Context"], T]) -> T:
        """Returns what `find` returns as of the next full minute, so that it stays true until then. It is found
        once for each minute and version of the work, the shop and the catalogue, unless this session changed
        something itself. It must hold no row of the session."""
        as_of = replace(self, now=minute_up(self.now))
        version = work_version(self.session)
        if version is None:
            return find(as_of)
        return self.kept.load(version, (self.shop, self.catalogue, as_of.now), key, lambda: find(as_of))

    def before(self, key: Hashable) -> Any:
        """Returns what was found last under the key, before something changed; None if nothing was. It says nothing
        of how things are now."""
        return self.kept.before(key)

    @property
    def today(self) -> date:
        """The shop's day: the date on its calendar, or the one before until the shop has closed for the night."""
        return self.shop.opening.day_of(self.now)

    @property
    def clock_date(self) -> date:
        """The date that the shop's clock shows, which typed dates follow."""
        return local_day(self.now, self.shop.zone)
