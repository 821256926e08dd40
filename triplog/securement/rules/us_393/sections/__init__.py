"""The commodity sections, 49 CFR 393.116 to 393.136: one file per section.

`in_force` holds those that are built and says which one takes an article. The shared parts are a
count by kinds of tie-down (`kinds`), a share of the weight of its own (`shares`), a measured
figure against a limit (`limits`) and the questions that no number covers (`answered`).
"""
