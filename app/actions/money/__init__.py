"""Payments, and what is still to pay on an order."""
