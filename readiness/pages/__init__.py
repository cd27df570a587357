"""Pages to print, as single HTML files.

A room of its own because a page is neither a sentence (those stay in ``words``) nor a screen:
it has paper, boxes to write in and a way of being cut to one sheet. It refuses to fetch
anything, to run anything and to let a name from a file become markup.
"""
