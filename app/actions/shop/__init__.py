"""The shop itself: settings, opening hours, staff, and how long work takes here."""
