"""The command line: one file a command, and nothing decided here."""
