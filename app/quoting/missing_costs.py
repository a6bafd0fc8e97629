"""Costs that nobody has entered yet: until then they count as nothing. For the owner only."""

from app.quoting.catalogue import Catalogue
from app.quoting.shop import Shop


def missing_costs(shop: Shop, catalogue: Catalogue) -> tuple[str, ...]:
    """Returns their names in words, those of the shop itself first; of the catalogue only what is not archived."""
    balloon_types = [
        row.name for row in catalogue.balloon_types.values() if row.archived_at is None and not row.pack_minor
    ]
    supplies = [row for row in catalogue.supplies.values() if row.archived_at is None]
    told = {row.sort for row in supplies if row.pack_minor}
    own = (
        ("an hour of one hand", shop.pricing.hour_minor),
        ("helium", shop.pricing.helium_m3_minor),
        ("ribbon", "ribbon" in told),
        ("treatment", "treatment" in told),
    )
    others = [row.name for row in supplies if not row.pack_minor and row.sort not in ("ribbon", "treatment")]
    return (*(name for name, cost in own if not cost), *balloon_types, *others)
