"""Who may come in: pairing codes, sessions, limits, refusals. Start in `book.py`.

May import `triplog.desk`, `triplog.journal`, the languages of `triplog.page.shown` and itself;
knows no trip and no page.
"""
