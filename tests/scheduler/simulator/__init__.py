"""Ten thousand invented trips against the watcher, checked by a second telling of the duty rules.

`facts` is what gets recorded, `trips` makes seeded trips, `second` tells what is due without any
code of ours, `house` is a journal in memory, `drive` lets a trip happen minute by minute, `claims`
is what must hold. `python -m tests.scheduler.simulator --trips 10000` runs them all.
"""
