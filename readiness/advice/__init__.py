"""Planning: check sheets, lessons in minutes, placing, breaks and ways ahead; values, no words."""
