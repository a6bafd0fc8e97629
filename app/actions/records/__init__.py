"""What every action reads and writes: an order, its lines, batches, taps and history, and the shop."""
