"""Homework: a source notebook in, another sheet for every student out, and its key."""
