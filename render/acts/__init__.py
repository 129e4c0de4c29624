"""What a person does in a step, as its picture shows it: zones painted on surfaces, tools at their work.

In: a step's operations and its tools in place, part models, a frame's depth. Out: painted pixels, tools as models, what
is in sight of a surface, arrows of pull and push, numbers of what goes in turn. Knows no step's layout.
"""
