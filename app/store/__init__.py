"""This room stores everything: the engine, the tables, and one file of queries per screen."""
