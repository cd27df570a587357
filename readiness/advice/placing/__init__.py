"""Where a new student starts, asked in few looks: an exact belief over what can be there at all."""
