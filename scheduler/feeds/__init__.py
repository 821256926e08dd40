"""Readings that other instruments and programs have written down; knows no trips.

One reader for each kind of source: a GPX track (`gpx`), NMEA 0183 sentences (`nmea`), the
government duty-record output file (`duty_file`). Each is tolerant: it gives what it understood as
neutral values (`readings`), tells the rest row by row, and raises FeedRefused, with a sentence,
for what is no such source at all. `source` opens files within a limit, `following` reads what
grows, `way` adds up the distance along fixes. Nothing here is corrected by anything else.
"""
