"""The terminal screens. They come with a later edition; the command line answers until then."""
