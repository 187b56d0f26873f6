"""How near a history comes to a truth that is known, and what simpler ways of working reach."""
