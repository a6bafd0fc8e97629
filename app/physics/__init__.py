"""This room calculates how a balloon floats and sinks. It uses the standard library only."""
