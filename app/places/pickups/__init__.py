"""Pick-ups: what leaves when, and what must be done before it does."""
