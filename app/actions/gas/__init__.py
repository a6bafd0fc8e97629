"""Helium cylinders: what is left in them, how long it lasts, and where it went."""
