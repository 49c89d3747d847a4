"""Papers for people: one text becomes a page for the screen and a page to print."""
