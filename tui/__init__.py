"""The screens for the terminal. Nothing here yet: the command line answers until they are built."""
