"""The bench: taps on batches, the plan of all batches, and whether one more order fits."""
