"""Counter: take an order, find one, change one."""
