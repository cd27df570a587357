"""What is taught: reading, checking and asking about a course. Knows no student."""
