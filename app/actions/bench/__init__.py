"""The bench: taps on batches, the plan of all of them, and whether one more order fits."""
