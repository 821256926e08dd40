"""The page in the office: exceptions first, one trip whole, exports.

May import `triplog.page.work`, `triplog.page.shown` and every room below the page.
"""
