"""The fewest, then the lightest tie-downs from the stock at hand that would make a plan meet.

Knows no rule: it asks `assess` what each tie-down would add, chooses by a mixed-integer program,
and has every plan judged again before it is shown. Start reading at `choosing.py`.
"""
