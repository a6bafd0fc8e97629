"""Every setting of a shop: its meaning, unit, range and default."""
