"""What screens read, one file per screen."""
