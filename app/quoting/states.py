"""The enumerations that the store saves: states, steps and categories. They import nothing, so that every package
may use them."""

from enum import StrEnum


class OrderState(StrEnum):
    """The state of an order."""

    OPEN = "open"
    HANDED_OVER = "handed over"
    CANCELLED = "cancelled"


class Progress(StrEnum):
    """How far an order is, from the first to the last: what is said of it in every list."""

    NOT_STARTED = "not-started"
    IN_PROGRESS = "in-progress"
    READY = "ready"
    HANDED_OVER = "handed-over"
    CANCELLED = "cancelled"
    NOT_MADE = "not-made"


class CancelReason(StrEnum):
    """Why an order is cancelled."""

    CUSTOMER = "customer"
    CANNOT_MAKE = "cannot make"
    MISTAKE = "mistake"
    OTHER = "other"

    @property
    def keeps_fee(self) -> bool:
        """Whether the shop usually keeps its fee; not if the reason lies with the shop."""
        return self in (CancelReason.CUSTOMER, CancelReason.OTHER)


class LateReason(StrEnum):
    """Why an order was late or not made."""

    STAFF = "staff"
    STOCK = "stock"
    STARTED_LATE = "started too late"
    CUSTOMER = "customer late"


class OrderPart(StrEnum):
    """The part of an order that one hand-over is for. An order without a later part is all MAIN."""

    MAIN = "main"
    LATER = "later"

    @property
    def other(self) -> "OrderPart":
        return OrderPart.MAIN if self is OrderPart.LATER else OrderPart.LATER


class HandOverStep(StrEnum):
    """The steps of a hand-over, as they are listed. PACKED comes before the filling: gas and balloons for a venue.
    CAUTIONED: the customer was told the cautions. ON_ACCOUNT: what is not paid yet will be paid later."""

    PACKED = "packed"
    DRY = "dry"
    ASSEMBLED = "assembled"
    WEIGHTED = "weighted"
    BAGGED = "bagged"
    READY = "ready"
    ON_ACCOUNT = "on account"
    CAUTIONED = "caution given"
    HANDED_OVER = "handed over"


class TapAction(StrEnum):
    """What is tapped at a batch. BURST: lost in filling. LOSE: the same once all are filled, so that the balloon
    was counted as filled. PUT_BACK: filled, and emptied again for the shelf, when its order was changed. CONTINUE,
    STOP: whether it is still being filled, without any balloon filled since."""

    START = "start"
    FILL = "fill"
    BURST = "burst"
    LOSE = "lose"
    FINISH = "finish"
    PUT_BACK = "put back"
    CONTINUE = "continue"
    STOP = "stop"


class FilledFate(StrEnum):
    """What becomes of filled balloons that a changed order no longer needs."""

    SPARES = "spares"
    STOCK = "stock"
    LOST = "lost"


class CylinderState(StrEnum):
    """FULL: put away, full or part used. IN_USE: the bench fills from it."""

    FULL = "full"
    IN_USE = "in use"
    EMPTY = "empty"
    GONE_BACK = "gone back"


class StockMoveReason(StrEnum):
    """Why stock changed. FILLED, BURST: for a batch. HANDED_OVER: with an order. USED: for water weights and
    practice."""

    RECEIVED = "received"
    FILLED = "filled"
    BURST = "burst"
    HANDED_OVER = "handed over"
    COUNTED = "counted"
    USED = "used"


class SupplyUnit(StrEnum):
    """The unit in which a supply is counted."""

    PIECE = "piece"
    METRE = "metre"
    MILLILITRE = "millilitre"


class SupplySort(StrEnum):
    """What a supply is for."""

    WEIGHT = "weight"
    RIBBON = "ribbon"
    PLUSH = "plush"
    BAG = "bag"
    TREATMENT = "treatment"
    MODELLING = "modelling"
    RENTAL = "rental"
    OTHER = "other"

    @property
    def unit(self) -> SupplyUnit:
        """The unit in which it is counted; for OTHER only the first suggestion."""
        units = {SupplySort.RIBBON: SupplyUnit.METRE, SupplySort.TREATMENT: SupplyUnit.MILLILITRE}
        return units.get(self, SupplyUnit.PIECE)

    @property
    def weighs(self) -> bool:
        """Whether the grams of one unit matter."""
        return self in (SupplySort.WEIGHT, SupplySort.RIBBON)

    @property
    def has_width(self) -> bool:
        """Whether its width matters."""
        return self in (SupplySort.BAG, SupplySort.PLUSH)


class PaymentDirection(StrEnum):
    """Which way money went: to the shop, or back to the customer."""

    IN = "in"
    BACK = "back"


class PaymentMethod(StrEnum):
    """How money was paid."""

    CASH = "cash"
    CARD = "card"
    TRANSFER = "transfer"
    OTHER = "other"


class PhotoSize(StrEnum):
    """The two sizes in which a photo is saved."""

    WHOLE = "whole"
    SMALL = "small"


class Finish(StrEnum):
    """What the skin of a balloon does with light. UNKNOWN: nobody has said."""

    PLAIN = "plain"
    METALLIC = "metallic"
    CLEAR = "clear"
    PATTERNED = "patterned"
    UNKNOWN = "unknown"
