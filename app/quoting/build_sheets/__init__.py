"""How a piece is put together: one function for each construction."""
