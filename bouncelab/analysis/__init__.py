"""From the table of drops to findings that can be defended."""
