"""The static estimate of a plan: how it becomes scenes, what these withstand, and the findings.

Shown beside the law, never instead of it. `in_order.py` is where to start; the mechanics are in
`equilibrium/`, which knows no plan.
"""
