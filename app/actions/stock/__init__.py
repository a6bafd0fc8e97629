"""Stock: lots, deliveries, and what is promised of them."""
