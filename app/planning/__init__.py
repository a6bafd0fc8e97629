"""What must be done when. Knows physics; no clock, no store, no page."""
