"""What every action gets passed in."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from app.planning.shoptime import local_day
from app.quoting.catalogue import Catalogue
from app.quoting.shop import Shop


@dataclass(frozen=True, slots=True)
class Context:
    """session: of this request or command, committed once at its end. who: the name written into the history. now:
    aware UTC."""

    session: Session
    who: str
    shop: Shop
    catalogue: Catalogue
    now: datetime

    @property
    def today(self) -> date:
        """The shop's day: the date on its calendar, or the one before until the shop has closed for the night."""
        return self.shop.opening.day_of(self.now)

    @property
    def clock_date(self) -> date:
        """The date that the shop's clock shows, which typed dates follow."""
        return local_day(self.now, self.shop.zone)
