"""The command line: what each command asks for and prints; nothing is decided here."""
