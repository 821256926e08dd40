"""When a check is due again: arithmetic about distance, hours, duty changes and events.

The room knows nothing of trips, vehicles or tie-downs; it is handed neutral marks in time and
answers. It imports the standard library only (`watch` also APScheduler, `notify` also plyer, each
inside the function that needs it) and nothing else of ours.

Read in this order: `recheck_rules` (the rules as data), `progress` (what has happened), `duty`
and `distance` (driving, stops, changes; metres), `counter` and `counters` (rules x progress),
`due` (counters x now), `prompts` (what to say), `notify`, `watch` and `watch_lock` (saying it).
"""
