"""A booklet as slides (PPTX): a step a slide, its picture with callouts as shapes, messages first, notes to present by.

What enters is a booklet with the manifests and stills of its pictures; what leaves is one file. Nothing is laid out by
the program that opens it: every text is measured and has a box of its own size.
"""
