"""What a head measures, before anything is drawn.

In: a few measured dimensions and a choice of options. Out: all dimensions, the parts list, where everything sits
along the shafts, or each reason why it cannot be built. Begin at ``options.py`` and ``size.py``, then
``stack_up.py``.
"""
