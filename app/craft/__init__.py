"""What goes into it and what it costs. Knows physics; no clock, no store, no page."""
