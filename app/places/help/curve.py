"""Help: the float curve of a latex balloon, drawn for what the sliders say."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from werkzeug.datastructures import MultiDict
from wtforms import BooleanField

from app.physics.air import Air, lift_g_per_l
from app.physics.balloon import BalloonType, Gas
from app.physics.endurance import Filling
from app.physics.material import Leak
from app.quoting.catalogue import BalloonOffer, Catalogue
from app.quoting.shop import Shop
from app.web.drawings.float_curve import FloatCurve, layout_float_curve
from app.web.forms import ChoiceField, ShopForm, SliderField, choices_of, read_id
from app.web.requests import request_context

SMALLEST_IN, COLDEST_C, HOTTEST_C, HIGHEST_M = 5.0, -10.0, 45.0, 3000.0
LEAST_LOAD_G = 5.0
"""At least so many grams can be hung on each balloon, although the smallest cannot carry them."""
USUAL_IN = 11.0
UNTREATED = (False, "false", "", "0", "n", "no")


class CurveForm(ShopForm):
    """What the sliders say. An address without one of them has what is usual in the shop."""

    balloon = ChoiceField("Balloon")
    size = SliderField("Filled to", SMALLEST_IN, SMALLEST_IN, "in", 0.1, 0.1)
    load = SliderField("Hangs on it", 0.0, LEAST_LOAD_G, "g", 0.05, 0.001)
    celsius = SliderField("Temperature", COLDEST_C, HOTTEST_C, "°C", 0.5, 1)
    altitude = SliderField("Altitude", 0.0, HIGHEST_M, "m", 10, 10)
    treated = BooleanField("Treated", false_values=UNTREATED)


@dataclass(frozen=True, slots=True)
class ShownCurve:
    """The form of the sliders with the curve that it draws; None when the form is wrong."""

    form: CurveForm
    drawn: FloatCurve | None

    @property
    def sliders(self) -> list[tuple[SliderField, str]]:
        """The sliders in their order, each with its value in words; without words when the form is wrong."""
        form, formats = self.form, request_context().formats
        sliders = (form.size, form.load, form.celsius, form.altitude)
        if self.drawn is None:
            return [(slider, "") for slider in sliders]
        words = (
            formats.size(form.size.value),
            formats.weighed(form.load.value, 2),
            formats.temperature(form.celsius.value),
            formats.in_unit(form.altitude.value, "m", 0),
        )
        return list(zip(sliders, words, strict=True))


def show_curve(sent: Any) -> ShownCurve | None:
    """Returns the sliders as they were sent, with their curve. Returns None for a shop whose balloon types have no
    latex that takes helium."""
    here = request_context()
    offers = _latex_for_helium(here.catalogue)
    if not offers:
        return None
    offer = _chosen(offers, sent.get("balloon"))
    form = _form_for(offer, offers, sent, here.shop)
    if not form.validate():
        return ShownCurve(form, None)
    shown, usual = _filling(form, offer.balloon_type), _usual_filling(offer.balloon_type, here.shop)
    curve = layout_float_curve(shown, usual, here.shop.float_defaults, here.shop.certainty.safe, here.formats)
    return ShownCurve(form, curve)


def _latex_for_helium(catalogue: Catalogue) -> list[BalloonOffer]:
    """Returns the balloon types that helium leaves through their wall, the smallest first."""
    offers = (
        one
        for one in catalogue.balloon_types.values()
        if one.material.traits.leak is Leak.PERMEATION and not one.air_only and one.archived_at is None
    )
    return sorted(offers, key=lambda one: (one.nominal_in, one.name))


def _chosen(offers: Sequence[BalloonOffer], sent: str | None) -> BalloonOffer:
    """Returns the balloon type that was chosen, else the one that is nearest to the usual size."""
    chosen = next((one for one in offers if one.id == read_id(sent)), None)
    return chosen or min(offers, key=lambda one: abs(one.nominal_in - USUAL_IN))


def _form_for(offer: BalloonOffer, offers: Sequence[BalloonOffer], sent: Any, shop: Shop) -> CurveForm:
    """Returns the form for a balloon type, which decides how large and how heavy the balloon may be. Another one
    begins at its full size: the slider has the balloon type in its id, so that a page puts a new one in its place.
    """
    balloon_type, air = offer.balloon_type, shop.air
    typed = MultiDict(sent)
    if typed.get("sized_for") not in (None, str(offer.id)):
        typed.poplist("size")
    typed["balloon"] = str(offer.id)
    form = CurveForm(
        typed,
        id_suffix="curve",
        size=balloon_type.full_in,
        load=shop.loads.loose_g,
        celsius=min(max(air.celsius, COLDEST_C), HOTTEST_C),
        altitude=min(max(air.elevation_m, 0.0), HIGHEST_M),
    )
    form.balloon.choices = choices_of({str(one.id): one.name for one in offers})
    form.size.low, form.size.high = min(SMALLEST_IN, balloon_type.full_in / 2), balloon_type.full_in
    form.size.id = form.size.label.field_id = f"{form.size.id}-{offer.id}"
    lift_g = balloon_type.full_litres * lift_g_per_l(20.0) - balloon_type.mass_g
    form.load.high = float(max(LEAST_LOAD_G, math.ceil(lift_g), math.ceil(shop.loads.loose_g)))
    return form


def _filling(form: CurveForm, balloon_type: BalloonType) -> Filling:
    """Returns how the balloon is filled, by a validated form: its helium grows with the cube of its size."""
    litres = balloon_type.full_litres * (form.size.value / balloon_type.full_in) ** 3
    air = Air(form.celsius.value, form.altitude.value)
    return Filling(balloon_type, Gas.HELIUM, litres, air, bool(form.treated.data), form.load.value)


def _usual_filling(balloon_type: BalloonType, shop: Shop) -> Filling:
    """Returns the balloon as the shop usually fills it: full, loose on its ribbon, in the shop's air."""
    return Filling(balloon_type, Gas.HELIUM, balloon_type.full_litres, shop.air, load_g=shop.loads.loose_g)
