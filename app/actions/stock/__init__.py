"""Stock: lots, deliveries, and what orders need of them."""
