"""Pages on which a learner is asked and judged: practice of the order, questions, tests, the observed task.

Their data are typed in ``sequences/training``; here they become words and pictures of one booklet.
"""
