"""Questions over all students of a studio or a school: who waits, who is stuck, what takes how long.

Values only. Students come in the order of their names, or, where they wait for a grown-up to act,
the longest waiting first; how it goes for a child never makes an order. No teacher is counted,
what few share is hidden from readers outside, and every answer says which files it lacks.
"""
