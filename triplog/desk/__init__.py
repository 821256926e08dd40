"""Everything a person can do, one file per subject: the use cases behind every face.

A face (the command line, later the page) parses, calls one function here and shows what it gives.
Nothing here prints or asks; the clock and the store are handed in. Start reading at `desk.py`.
"""
