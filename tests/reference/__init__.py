"""Checks against something outside the project; the source stands beside each."""
