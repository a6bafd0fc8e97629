"""Rentals: what goes out with an order, and what comes back."""
