"""A second reading of the rules (edition 2), to hold the library's answers against.

Written from the text of the rules alone and sharing nothing with ``readiness``. It works
on the dicts ``tomllib`` gives, on ``datetime.date`` and on sets of ids, and prefers trying
everything to being clever. Where the text leaves a choice, the module that makes the choice
says at its top which one and why, as a careful teacher would choose.
"""
