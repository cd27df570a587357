"""Questions over all students of a studio or a school: who waits, who is stuck, what takes how long.

Values only. Students come in the order of their names and are never put in another one; no
teacher is counted, and what few share is hidden from readers outside.
"""
