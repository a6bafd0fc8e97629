"""Payments, and what is due of an order."""
