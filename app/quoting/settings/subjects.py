"""The subjects of the settings: each is a short page of the office, the everyday ones first."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Subject:
    """Settings that belong together. key: the end of its address; title: also the group of its settings; holds:
    what it holds, in a few words; effect: what its settings change, unless a setting has its own effect."""

    key: str
    title: str
    holds: str
    effect: str
    is_everyday: bool = True


VERDICT = "Decides whether orders are Safe, Risky or Won't last."
TIMES = "Moves the times at which the bench must start."
NEW_PRICES = "Changes new orders. Saved orders keep their prices."
SHEETS = "Changes what build sheets tell the bench, and what a design costs."
SHOP = Subject(
    "shop", "The shop", "Name, address, phone, time zone, caution", "Changes what pages and confirmations say."
)
SHOWN = Subject(
    "units",
    "How pages show it",
    "Currency, country, clock, units",
    "Changes how figures are written and typed, not the figures.",
)
PRICES = Subject(
    "prices",
    "Prices and tax",
    "Tax, deposit, mark-up, rounding, lowest profit, cancellation fee",
    NEW_PRICES,
)
EXTRAS = Subject(
    "extras",
    "Prices of extras",
    "Treatment, delivery, set-up, take-down, filling at the venue",
    NEW_PRICES,
)
COSTS = Subject(
    "costs",
    "Costs of the shop",
    "Work, helium, ribbon, treatment, wear of rentals",
    "Changes the profit shown, and prices that follow from cost.",
)
ON_HAND = Subject(
    "stock",
    "Stock and gas",
    "Delivery day, old latex, holding area, cylinders",
    "Changes what is bought and when the app warns of a shortage.",
)
WORK = Subject("work", "Work at the bench", "How long each step takes", TIMES)
POINTS = Subject("points", "Filling points", "How many, and how fast gas and air flow", TIMES)
BOARD = Subject(
    "board", "Board and offers", "Due soon, still filling, rounded times, spares", "Changes what the board shows."
)
VENUE = Subject("venue", "Filling at the venue", "Crew, travel, set-up and take-down times", TIMES)
PLACES = Subject("places", "Temperature and altitude", "Of the shop, the venue and the van", VERDICT)
PROMISE = Subject("promises", "Promises to customers", "When an order counts as Safe or Risky", VERDICT)
LATEX = Subject("float-times", "How long latex floats", "Float time, heat, purity, tag", VERDICT, is_everyday=False)
COAT = Subject(
    "treated", "Treated latex", "What a treatment weighs, when it works and how much", VERDICT, is_everyday=False
)
VARY = Subject("variation", "Variation of float times", "Latex, treated latex, foil", VERDICT, is_everyday=False)
LIGHT = Subject("light", "Light", "Sun, shade, daylight hours", VERDICT, is_everyday=False)
SIZES = Subject(
    "air-sizes",
    "Fill sizes with air",
    "Indoors, in shade, in sun",
    "Changes the sizes on the sizer.",
    is_everyday=False,
)
OUTDOORS = Subject(
    "outdoors",
    "Outdoors",
    "Wind limit, grip of weights",
    "Changes warnings and the weights offered.",
    is_everyday=False,
)
BOUQUETS = Subject("bouquets", "Bouquets and weights", "Ribbon, knot, weights", SHEETS, is_everyday=False)
ARCHES = Subject("arches", "Columns and arches", "Height, squeeze, strung arches", SHEETS, is_everyday=False)
GARLANDS = Subject("garlands", "Garlands", "Light, medium, full, mix of sizes", SHEETS, is_everyday=False)
BAGGING = Subject(
    "bags", "Stuffed balloons and bags", "Largest item, bag length, layers", SHEETS, is_everyday=False
)

SUBJECTS = (
    *(SHOP, SHOWN, PRICES, EXTRAS, COSTS, ON_HAND, WORK, POINTS, BOARD, VENUE, PLACES, PROMISE),
    *(LATEX, COAT, VARY, LIGHT, SIZES, OUTDOORS, BOUQUETS, ARCHES, GARLANDS, BAGGING),
)
"""In the order of the index."""

EFFECTS = {
    "zone": "Changes the hours at which every saved moment is shown and typed.",
    "caution": "Changes what is shown wherever balloons are sold or handed over.",
    "name": "Changes the top of every page and the confirmations.",
    "shop_address": "Changes new prints of confirmations.",
    "shop_phone": "Changes new prints of confirmations.",
    "currency_code": "Changes only what other programs read.",
    "currency_decimals": "Changes what saved amounts mean: set it before the first price.",
    "deposit_percent": "Changes what new orders ask for when they are saved.",
    "cancellation_fee_percent": "Changes the fee that is offered at the next cancellation.",
    "floor_percent": "Changes when the counter and the lists warn of a low price.",
    "spares_percent": "Changes what is laid out, taken from stock and worked on.",
    "step_minutes": "Changes the times offered when an order does not fit.",
    "idle_factor": "Changes when the board asks, and what the plan counts as not filled.",
    "helium_points": "Changes how many helium balloons can be filled at once, and so every start.",
    "air_points": "Changes how many air-filled balloons can be filled at once, and so every start.",
    "stuffing_points": "Changes how much can be stuffed at once, and so every start.",
    "holding_area_room": "Changes when the app says that the holding area is full.",
    "old_lot_months": "Changes which lots are taken for orders.",
    "ribbon_m": "Changes cost, and how much ribbon is taken from stock.",
    "treat_ml": "Changes cost, and how much treatment is taken from stock.",
    "water_most_percent": "Changes which weights are offered.",
    "water_step_in": "Changes which weights are offered.",
}
"""Effects of single settings that differ from those of their subject."""


def find_subject(key: str) -> Subject | None:
    """Returns the subject of an address; None if there is none."""
    return next((one for one in SUBJECTS if one.key == key), None)


def effect_of(key: str, subject: Subject) -> str:
    """Returns what a setting of the subject changes."""
    return EFFECTS.get(key, subject.effect)
