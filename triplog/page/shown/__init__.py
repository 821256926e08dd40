"""Words and pictures for the templates: languages, due checks, documents, the deck to touch.

May import every room below the page, and nothing else of the page.
"""
