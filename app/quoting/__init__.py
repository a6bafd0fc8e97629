"""From what is asked to what is promised: pure, everything is passed in."""
