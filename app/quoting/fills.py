"""What each batch of an order asks of the bench: how its balloons are filled, how many, and whether they float."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from app.craft.cost import spare_count
from app.craft.sizing import fill_size
from app.craft.weights import weight_g
from app.physics.endurance import Filling, endurance
from app.physics.promise import promise_of
from app.planning.work import batch_work, drying
from app.quoting.catalogue import Catalogue
from app.quoting.errors import Problem, Refused
from app.quoting.journey import Journey, venue_air
from app.quoting.loads import SizedFilling
from app.quoting.parts import BatchSpec, SoldLine
from app.quoting.request import Occasion, OrderRequest
from app.quoting.runs import FillPlan
from app.quoting.shop import Shop

TOO_HIGH_TO_FLOAT = "{name} does not float with its load at {height:.0f}\u00a0m. Choose a larger balloon."
LOAD_TOO_HEAVY = (
    "{name} does not float at {height:.0f}\u00a0m with {load:g}\u00a0g on each. Choose a larger balloon, or hang"
    " less on it."
)


def sized_filling(
    spec: BatchSpec, request: OrderRequest, journey: Journey, shop: Shop, catalogue: Catalogue
) -> SizedFilling:
    """Returns how the balloons of a batch are filled, whatever hangs on them."""
    balloon_type = catalogue.balloon_types[spec.balloon_type_id].balloon_type
    size = fill_size(
        balloon_type, spec.gas, journey.fill_air, journey.later_airs, request.surroundings, shop.air_sizes
    )
    return SizedFilling(size, Filling(balloon_type, spec.gas, size.litres, journey.fill_air, spec.treated))


def fill_plan(
    spec: BatchSpec,
    colours: Mapping[str, int],
    sized: SizedFilling,
    load_g: float,
    request: OrderRequest,
    shop: Shop,
) -> FillPlan:
    """Returns what a batch asks of the bench. load_g: grams that hang on each of its balloons."""
    filling = replace(sized.filling, load_g=load_g)
    quantity = sum(colours.values())
    more = _spares(filling, quantity, request, shop)
    work = batch_work(filling, quantity + more, shop.work_times)
    owns = endurance(filling, shop.float_defaults, promise_of(quantity, shop.float_defaults.promised_share))
    drying_time, weight = drying(filling, shop.work_times), _weight_g(filling, request, shop)
    return FillPlan(
        spec,
        filling.balloon_type,
        tuple(colours.items()),
        sized.size,
        filling,
        owns,
        work,
        drying_time,
        weight,
        more,
    )


def _spares(filling: Filling, quantity: int, request: OrderRequest, shop: Shop) -> int:
    """Returns how many are laid out for those that burst; a quick sale needs none, since it is filled already."""
    if not filling.balloon_type.material.traits.bursts_in_filling or request.occasion is Occasion.NOW:
        return 0
    return spare_count(quantity, shop.pricing.spares_percent)


def _weight_g(filling: Filling, request: OrderRequest, shop: Shop) -> float | None:
    """Returns the weight in grams that one balloon needs in the wind typed, or else at the shop's limit."""
    if not request.surroundings.outdoors:
        return None
    wind = shop.outdoors.wind_limit_m_s if request.wind_m_s is None else request.wind_m_s
    return weight_g(filling, wind, venue_air(request, shop), shop.float_defaults, shop.outdoors)


def refuse_sinkers(fills: Sequence[FillPlan], lines: Sequence[SoldLine], request: OrderRequest, shop: Shop) -> None:
    """Raises Refused, with a problem for each line, if a balloon cannot carry what hangs on it."""
    problems = [
        _sinks(fill, line, index, request, shop)
        for fill in fills
        if fill.endurance.budget <= 0
        for index, line in enumerate(lines)
        if fill.spec in line.parts
    ]
    if problems:
        raise Refused(*problems)


def _sinks(fill: FillPlan, line: SoldLine, index: int, request: OrderRequest, shop: Shop) -> Problem:
    """Returns the problem of a line whose balloons do not float. It names the load if a loose balloon of the same
    type would float."""
    name, height = fill.balloon_type.name, venue_air(request, shop).elevation_m
    loose = replace(fill.filling, load_g=shop.loads.loose_g)
    if endurance(loose, shop.float_defaults).budget <= 0:
        return Problem("what", TOO_HIGH_TO_FLOAT.format(name=name, height=height), index)
    sentence = LOAD_TOO_HEAVY.format(name=name, height=height, load=fill.filling.load_g)
    return Problem("hung_g" if line.request.hung_g else "what", sentence, index)
