"""A plan as pictures: the deck from above and from the side, what it withstands all round.

SVG as text, pure; black on white, told apart by word, dash and hatching. Every picture carries the
same in words (`Drawing.alt`), so that it is never the only carrier of a fact. Start at `deck.py`.
"""
