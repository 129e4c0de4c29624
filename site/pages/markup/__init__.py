"""What is done to the finished markup of a page, whatever it says: its policy, drawings that it has more than once.
In: a page as its template made it. Out: the page as it is written.
"""
