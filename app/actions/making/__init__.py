"""How a line is put together: drawing, cut list, lift and weights, from what was sold and how it is filled."""
