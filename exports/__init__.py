"""Setting documents and writing files: sheets, tables, lines, calendars and bundles."""
