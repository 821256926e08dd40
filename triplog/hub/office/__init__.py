"""The office's pages over all trucks of a carrier. Start in `app.py`.

May import `triplog.hub`, what the page shows and asks at its entrance, and every room below.
"""
