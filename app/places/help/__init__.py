"""Help: chapters that explain each page, and a search over all of them."""
