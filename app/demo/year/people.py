"""This module has the customers of the invented year: people and businesses, some of whom come back often."""

from dataclasses import dataclass, field
from datetime import datetime
from itertools import accumulate
from random import Random

from app.demo.orders import DEMO_ORDERS
from app.demo.year.records import Row
from app.store.search_keys import digits_of, fold_text

FIRST = (
    "Ada", "Barnaby", "Clemency", "Dorian", "Elowen", "Fergus", "Greta", "Hamish", "Imogen", "Jasper", "Keziah",
    "Lorcan", "Marigold", "Nestor", "Ottilie", "Piers", "Quentin", "Rosalind", "Silas", "Tamsin", "Ulric", "Verity",
    "Winston", "Xanthe", "Yusuf", "Zelda", "Anouk", "Bodhi", "Calla", "Dev",
)  # fmt: skip
LAST = (
    "Applethwaite", "Brindlewick", "Cobblemere", "Dandridge-Fox", "Emberlow", "Fennimoor", "Gossamer", "Hollyfrost",
    "Inkpenny", "Jollifant", "Kettleby-Moss", "Larkmere", "Mothersole", "Nettlefold", "Oakapple", "Pennyfeather",
    "Quillon", "Rushbrindle", "Snowdrift", "Thistlewood", "Umberley", "Vellacourt", "Whimbrel", "Yarrowfield",
)  # fmt: skip
BUSINESSES = (
    "The Seventh Lantern", "Umberfinch Nursery", "Zephyrwick Chess Circle", "Moth and Marrow Bistro",
    "Penny Comet Cinema", "The Idle Heron Tearoom", "Brindle Street Dancers", "Cloudberry Bakery",
    "Wobbling Teapot Theatre", "Snail and Anchor Choir", "Halfmoon Marquees", "Zephyrwick Kite Guild",
    "The Lost Umbrella Hotel", "Gingerquill Books", "Owlet Lane School", "The Nine Spoons Kitchen",
)  # fmt: skip
SPARE_PHONES = [number for number in range(960000, 961000)]
"""Numbers that are kept for fiction."""


@dataclass(slots=True)
class Person:
    """A customer. place: in the list. last_order_at: None until they order."""

    place: int
    name: str
    phone: str
    last_order_at: datetime | None = field(default=None)

    def rows(self, customer_id: int, phone_id: int) -> tuple[Row, Row]:
        """Returns the rows of the customer and of the phone."""
        customer = {"id": customer_id, "name": self.name, "name_folded": fold_text(self.name)}
        customer |= {"phone_digits": digits_of(self.phone), "last_order_at": self.last_order_at}
        customer |= {"latex_allergy": False, "merged_into_id": None}
        return customer, {"id": phone_id, "customer_id": customer_id, "shown": self.phone}


class Crowd:
    """All customers of the year. Those who stand first come back most."""

    def __init__(self, chance: Random) -> None:
        taken = {digits_of(demo.phone)[-6:] for demo in DEMO_ORDERS}
        phones = [f"01632 {number}" for number in SPARE_PHONES if str(number) not in taken]
        names = [f"{first} {last}" for first in FIRST for last in LAST]
        chance.shuffle(phones)
        chance.shuffle(names)
        self.everyone = [
            Person(place, name, phone)
            for place, (name, phone) in enumerate(zip([*BUSINESSES, *names], phones, strict=False))
        ]
        self._chance = chance
        self._businesses = self.everyone[: len(BUSINESSES)]
        self._people = self.everyone[len(BUSINESSES) :]
        self._often = {len(group): _shares(len(group)) for group in (self._businesses, self._people)}

    def choose(self, *, business: bool) -> Person:
        """Returns somebody who orders."""
        group = self._businesses if business else self._people
        return self._chance.choices(group, cum_weights=self._often[len(group)])[0]


def _shares(count: int) -> list[float]:
    """Returns how often each of so many orders, added up: the first some twenty times as often as the last."""
    return [*accumulate(1 / (place + 20) ** 0.8 for place in range(count))]
