"""Whether the gear fits the plan: hooks and anchor points, reach, edges, kinds in one place.

Nothing here is law by itself: guidance of published texts and common practice, each named. Every
function takes a plan, some the routes of its tie-downs, and returns findings. Start reading at
`in_order.py`.
"""
