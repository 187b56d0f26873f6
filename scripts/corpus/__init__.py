"""The makers of the demonstration corpus: an invented railway, its clerks, and what sixty years did to their cards."""
