"""The invented shop of the demo: its tables, and how they come into a store. Only seed_demo.py reads it."""
