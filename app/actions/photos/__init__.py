"""Photos of designs and of finished orders: read once, drawn anew, kept with the shop."""
