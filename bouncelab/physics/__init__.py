"""Pure functions that explain and predict: numbers in SI units in, numbers out."""
