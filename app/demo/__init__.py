"""This room has the invented shop of the demo, and puts it into a database. Only seed_demo.py uses it."""
