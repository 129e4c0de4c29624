"""Whether the tools of a plan reach what its acts name, and where each stands.

In: an assembly and a plan. Out: each tool in its place with the room that it has to move, or what it meets.
"""
