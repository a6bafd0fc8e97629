"""This package has the sentences that people read."""
