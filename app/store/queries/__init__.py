"""This package has what the screens read, one file per screen."""
