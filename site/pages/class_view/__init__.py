"""The class view: a sequence step by step on the wall, with the presenter's notes in a second window.

In: a booklet's chapter. Out: what the presenter sees beside each step. Begin at ``notes.py``; what the class sees is
the template ``class_view.html.j2`` with ``class.js``.
"""
