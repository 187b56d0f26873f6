"""Training of the cell recogniser: renderings of register cells, and a small network that learns from
them."""
