"""Bench: the day's work by inflate-by time; the ticket of one batch."""
