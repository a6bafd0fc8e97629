"""Orders: taken, changed, cancelled, sold over the counter, handed over; and who their customers are."""
