"""EN 12195-1, forces on road vehicles: sliding and tipping in four directions, by closed form.

Start at `in_order`; `sliding` and `tipping` set up both sides of the balance, `balance` judges
them. The formulas are in `closed_form`. Imports only its own room.
"""
