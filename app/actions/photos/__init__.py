"""Photos of designs and of finished orders."""
