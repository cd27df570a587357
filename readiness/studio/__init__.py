"""Where a teacher's files are, and all of them read together."""
