"""The loading performance standards of Australia, worked out in the way of its guide.

The shares of the weight are law (Schedule 7); the way of working them out is that of the Load
Restraint Guide, which is guidance. Start reading at `in_order.py`.
"""
