"""Changing a course without fear: what an edit does to every student, before it is saved.

Nothing here writes to a course or to a student's file.
"""
