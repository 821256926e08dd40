"""Ten thousand invented trips against the watcher, checked by a second telling of the duty rules.

`facts` is what gets recorded, `trips` makes seeded trips, `second` tells what is due without any
code of ours by the limits as `printed`, `house` is a journal in memory with an `office` at its
other end, `drive` lets a trip happen minute by minute, `claims` is what must hold.
`python -m tests.scheduler.simulator --trips 10000` runs them all.
"""
