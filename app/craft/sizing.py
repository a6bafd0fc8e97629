"""This module calculates the fill size to set on the sizer, lowered for air, heat and altitude, and says why."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from app.physics.air import Air, volume_ratio
from app.physics.balloon import BalloonType, Gas, sphere_litres
from app.physics.light import Surroundings

HELIUM_STEP_IN = 0.05
AIR_STEP_IN = 0.25
HOT_C = 30.0


@dataclass(frozen=True, slots=True)
class AirSizes:
    """The shares of its rated diameter, 0 to 1, to which air-filled latex is filled; never more than `limit`.

    Each is a setting; the defaults are common practice, without a source.
    """

    indoors: float = 0.82
    outdoors: float = 0.75
    hot_or_sun: float = 0.70
    limit: float = 0.90

    def share(self, surroundings: Surroundings, hottest_c: float) -> float:
        """Returns the share for these surroundings, when the warmest place on the way has this many °C."""
        if surroundings is Surroundings.SUN or hottest_c > HOT_C:
            wanted = self.hot_or_sun
        else:
            wanted = self.indoors if surroundings is Surroundings.INDOORS else self.outdoors
        return min(wanted, self.limit)


@dataclass(frozen=True, slots=True)
class FillSize:
    """How far one balloon is filled.

    diameter_in: the size on the sizer in inches; for foil and spheres the nominal size. litres: its gas, measured
    in the shop's air. share: of its full volume, 0 to 1. why: sentences that say why it is not filled to its full
    size.
    """

    diameter_in: float
    litres: float
    share: float
    why: tuple[str, ...] = ()


def fill_size(
    balloon_type: BalloonType,
    gas: Gas,
    shop_air: Air,
    later_airs: Iterable[Air],
    surroundings: Surroundings,
    air_sizes: AirSizes,
) -> FillSize:
    """Returns the fill size in the shop with which the balloon does not overstretch later. Raises no errors.

    shop_air: the air in which it is filled. later_airs: the air of each place where it will be. surroundings:
    those of the event. Source: the laws of Boyle and Charles; the shares for air are common practice.
    """
    places = (shop_air, *later_airs)
    swell = max(volume_ratio(shop_air, place) for place in places)
    if gas is Gas.AIR and balloon_type.stretches:
        share = air_sizes.share(surroundings, max(place.celsius for place in places))
        return _air_latex(balloon_type, min(share, air_sizes.limit / math.cbrt(swell)))
    if balloon_type.stretches:
        return _helium_latex(balloon_type, swell)
    share = 1.0 / swell
    why = (
        f"to {_percent(share)} of full, because the gas expands by {_percent(swell - 1)} in later heat or altitude",
    )
    return FillSize(
        balloon_type.nominal_in,
        filled_litres(balloon_type, balloon_type.nominal_in, share),
        share,
        why if share < 0.995 else (),
    )


def filled_litres(balloon_type: BalloonType, diameter_in: float, share: float) -> float:
    """Returns the litres of gas in one balloon.

    For latex it is the sphere of diameter_in, in inches; for foil and spheres it is this share of their full
    litres.
    """
    return sphere_litres(diameter_in) if balloon_type.stretches else balloon_type.full_litres * share


def _expands(swell: float) -> str:
    return f"the gas expands by {_percent(swell - 1)} in later heat or altitude"


def _percent(share: float) -> str:
    """Returns a share as “85%”, and one below a percent as “less than 1%”."""
    return f"{share:.0%}" if share >= 0.01 else "less than 1%"


def _air_latex(balloon_type: BalloonType, share: float) -> FillSize:
    """Returns the fill size of air-filled latex at this share of its rated diameter, rounded down to the sizer's
    step. What the stuffing machine fills goes through no sizer and needs no reason."""
    diameter = _down(balloon_type.full_in * share, AIR_STEP_IN)
    why = (
        f"with air to {_percent(diameter / balloon_type.full_in)} of the rated {balloon_type.full_in:g}\u00a0in",
    )
    is_sized = balloon_type.material.traits.is_sized(air_only=balloon_type.air_only)
    return _latex(balloon_type, diameter, why if is_sized else ())


def _helium_latex(balloon_type: BalloonType, swell: float) -> FillSize:
    """Returns the fill size of latex with helium whose gas swells by this factor later."""
    if swell <= 1.0:
        return _latex(balloon_type, balloon_type.full_in, ())
    diameter = _down(balloon_type.full_in / math.cbrt(swell), HELIUM_STEP_IN)
    why = f"below the rated {balloon_type.full_in:g}\u00a0in, because {_expands(swell)}"
    return _latex(balloon_type, diameter, (why,))


def _latex(balloon_type: BalloonType, diameter: float, why: tuple[str, ...]) -> FillSize:
    """Returns the fill size of latex at this diameter in inches."""
    share = (diameter / balloon_type.full_in) ** 3
    return FillSize(diameter, filled_litres(balloon_type, diameter, share), share, why)


def _down(inches: float, step: float) -> float:
    """Returns the size rounded down to a multiple of the step, in inches."""
    return round(math.floor(inches / step + 1e-9) * step, 2)


@dataclass(frozen=True, slots=True)
class SizerBatch:
    """A batch of latex that is to be filled on the sizer.

    point: the key of its filling points. inches: its fill size. left: the balloons that are still to be filled.
    earliest: the earliest start of a batch that was not started yet; None when it may start at any hour.
    inflate_by: its latest start.
    """

    key: str
    gas: Gas
    point: str
    inches: float
    left: int
    started: bool
    earliest: datetime | None
    inflate_by: datetime


@dataclass(frozen=True, slots=True)
class SizerSetting:
    """A setting of the sizer, and the two or more batches that share it, in the order of their latest starts."""

    gas: Gas
    point: str
    inches: float
    batches: tuple[SizerBatch, ...]

    @property
    def left(self) -> int:
        """The number of balloons that are still to be filled with this setting."""
        return sum(batch.left for batch in self.batches)

    @property
    def common_start_window(self) -> tuple[datetime | None, datetime] | None:
        """The earliest and the latest moment at which all batches that were not started yet may start.

        It is None when all were started. The first moment is None when they may start at any hour; it lies after
        the second when there is no moment for all of them.
        """
        waiting = [batch for batch in self.batches if not batch.started]
        if not waiting:
            return None
        starts = [batch.earliest for batch in waiting if batch.earliest]
        return max(starts, default=None), min(batch.inflate_by for batch in waiting)


def shared_settings(batches: Iterable[SizerBatch]) -> list[SizerSetting]:
    """Returns the settings with which two or more batches still have balloons to fill.

    They come in the order of their most urgent batch's latest start.
    """
    alike: dict[tuple[Gas, str, float], list[SizerBatch]] = {}
    for batch in sorted(batches, key=lambda one: (one.inflate_by, one.key)):
        if batch.left > 0:
            alike.setdefault((batch.gas, batch.point, round(batch.inches, 2)), []).append(batch)
    return [
        SizerSetting(gas=gas, point=point, inches=inches, batches=tuple(found))
        for (gas, point, inches), found in alike.items()
        if len(found) > 1
    ]
