"""This package turns a request into a quote. It is pure: everything that it needs is passed in."""
