"""Photos: the pictures themselves, for every page."""
