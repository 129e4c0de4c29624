"""Marks on a plan: what of its steps is the plant's own addition, for pages to show as such."""
