"""The kit brought to where people work."""
