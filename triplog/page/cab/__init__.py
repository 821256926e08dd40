"""The page in the cab: what stands on it (`standing.py`), its forms and what they record.

May import `triplog.page.work`, `triplog.page.shown` and every room below the page.
"""
