"""The commands of the kit: each file offers some, with their help and their runs."""
