"""From what a student typed to one table of drops; nothing is lost on the way."""
