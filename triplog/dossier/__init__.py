"""What leaves the log, as `exports` sets it: the roadside sheet, the tables, the calendar.

From trips, findings and due checks to documents, columns and events; pure, and the only place
that knows both words. Start reading at `roadside.py`.
"""
