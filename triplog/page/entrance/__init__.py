"""Who may come in: pairing codes, sessions, limits, refusals. Start in `book.py`.

May import `triplog.desk`, `triplog.journal` and itself; knows no trip and no page.
"""
