"""Reading lists of gear as people keep them: `rows.read_stock_list` from text to gear, row by row.

Pure: imports only `securement`. What is not understood is reported with its line, never guessed and
never lost.
"""
