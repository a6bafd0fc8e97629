"""What every action is handed."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app.quoting.catalogue import Catalogue
from app.quoting.shop import Shop


@dataclass(frozen=True, slots=True)
class Context:
    """session: of this request or command, committed once at its end. who: signs the history. now: aware UTC."""

    session: Session
    who: str
    shop: Shop
    catalogue: Catalogue
    now: datetime
