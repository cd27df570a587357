"""Panes: each gets data by a method, speaks by messages, reads no file."""
