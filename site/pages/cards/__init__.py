"""Orientation cards: on the page, under the questions asked at the bench, on sheets of A6 cards and on the wall.

In: a plan with its evidence, the pictures' manifests. Out: view models. Begin at ``cards.py``; ``which_way.py`` puts
the questions, ``faces.py`` tells a card on paper, ``sheets.py`` lays cards out, ``decks.py`` gathers those of a size.
"""
