"""Where everything is kept: the engine, the tables, and one file of queries per screen."""
