"""The shop's figures for money: tax, fees, what things cost it, and below which margin it warns."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from app.craft.money import to_decimal
from app.craft.price import UNTAXED, Tax


class TaxMode(StrEnum):
    """How the shop charges tax."""

    NONE = "none"
    INCLUSIVE = "inclusive"
    ON_TOP = "on top"


@dataclass(frozen=True, slots=True)
class TaxRule:
    """The tax as an order was sold with it: percent, and whether prices contain it."""

    mode: TaxMode = TaxMode.NONE
    percent: float = 0.0

    @property
    def on_top(self) -> bool:
        """Whether tax is added to the price."""
        return self.mode is TaxMode.ON_TOP and self.percent > 0

    @property
    def tax(self) -> Tax:
        """The tax for calculating a bill."""
        if self.mode is TaxMode.NONE:
            return UNTAXED
        return Tax(to_decimal(self.percent), contained=self.mode is TaxMode.INCLUSIVE)


@dataclass(frozen=True, slots=True)
class PricingPolicy:
    """Percents are exact; *_minor in minor units: of an hour of work, a cubic metre of helium, a visit.

    ribbon_m: metres on a loose helium balloon. treat_ml: treatment in an 11-inch. rental_uses: how often a rented
    piece goes out before it is worn.
    """

    tax: TaxRule
    deposit_percent: Decimal
    cancellation_fee_percent: Decimal
    floor_percent: Decimal
    markup_percent: Decimal
    spares_percent: Decimal
    price_step_minor: int
    delivery_minor: int
    set_up_minor: int
    take_down_minor: int
    hour_minor: int
    helium_m3_minor: int
    ribbon_m: float
    treat_ml: float
    rental_uses: int


def pricing_policy_of(values: Mapping[str, float | int | str]) -> PricingPolicy:
    """Returns the figures from the settings, by key."""

    def percent(name: str) -> Decimal:
        return to_decimal(float(values[f"{name}_percent"]))

    return PricingPolicy(
        tax=TaxRule(TaxMode(str(values["tax_mode"])), float(values["tax_percent"])),
        deposit_percent=percent("deposit"),
        cancellation_fee_percent=percent("cancellation_fee"),
        floor_percent=percent("floor"),
        markup_percent=percent("markup"),
        spares_percent=percent("spares"),
        ribbon_m=float(values["ribbon_m"]),
        treat_ml=float(values["treat_ml"]),
        **{
            name: int(values[name])
            for name in (
                "price_step_minor",
                "delivery_minor",
                "set_up_minor",
                "take_down_minor",
                "hour_minor",
                "helium_m3_minor",
                "rental_uses",
            )
        },
    )
