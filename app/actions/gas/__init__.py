"""Helium cylinders: readings, moves, and what is left."""
