"""The skill graph, and a student on it, as a picture."""
