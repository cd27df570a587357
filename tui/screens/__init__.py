"""The screens, those that share most of what they do in one file."""
