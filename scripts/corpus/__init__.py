"""The makers of the demonstration corpus: an invented railway, its clerks, and its worn cards."""
