"""Shop cards: pages of text, tables and pictures, such as the traveler.

`sheet` lays things under one another and begins new pages; each card has a module of its own.
"""
