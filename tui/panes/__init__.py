"""One pane a file: gets data by a method, speaks by messages, reads no file."""
