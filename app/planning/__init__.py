"""This package plans what must be done when. It uses physics, and never the clock, the store or a page."""
