"""Results in, a matplotlib figure and its description in words out."""
