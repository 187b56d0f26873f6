"""From a scan to lines as written: page, table, cells, recognisers, lines.

Pure: pictures in, a card as read out. Nothing here knows a database, a web server or a clock.
Importing this package loads no picture library and no model; the modules that need them
(`card`, `geometry`, `recognisers`) are imported by the workers.
"""
