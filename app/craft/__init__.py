"""This package calculates what an order is made of and what it costs. It uses physics, and never the clock, the
store or a page."""
