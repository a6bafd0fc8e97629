"""What lies on the shelves, what is promised of it, and what must be bought."""
