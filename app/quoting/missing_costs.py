"""What costs the shop something that nobody has told yet: until then it counts as nothing. For the owner only."""

from app.actions.records.shop import Goods, Shop


def untold_costs(shop: Shop, goods: Goods) -> tuple[str, ...]:
    """In words, the shop's own first; of goods those that are not retired."""
    kinds = [row.name for row in goods.kinds.values() if row.retired_at is None and not row.pack_minor]
    supplies = [row for row in goods.supplies.values() if row.retired_at is None]
    told = {row.sort for row in supplies if row.pack_minor}
    own = (
        ("an hour of one hand", shop.till.hour_minor),
        ("helium", shop.till.helium_m3_minor),
        ("ribbon", "ribbon" in told),
        ("treatment", "treatment" in told),
    )
    others = [row.name for row in supplies if not row.pack_minor and row.sort not in ("ribbon", "treatment")]
    return (*(name for name, cost in own if not cost), *kinds, *others)
