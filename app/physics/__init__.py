"""How a balloon floats and sinks. Standard library only: no clock, no store, no page."""
