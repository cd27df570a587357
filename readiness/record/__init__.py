"""What was seen: one student's file, read strictly and kept as plain values."""
