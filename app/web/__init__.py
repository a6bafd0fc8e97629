"""This room has what all pages share."""
