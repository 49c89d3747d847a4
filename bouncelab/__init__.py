"""A teaching kit on collisions and bounciness: from a typed drop to a verdict."""
