"""The `bouncelab` command."""
