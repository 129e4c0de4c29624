"""What a learner is asked: the order to try, by what the solids force and by the sequence's rules, and questions.

All of it is typed data made from evidence and plans; pages put it into words.
"""
