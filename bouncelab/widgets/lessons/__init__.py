"""The lessons that notebooks show, one a file: a stage and the questions around it."""
