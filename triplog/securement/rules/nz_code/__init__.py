"""The truck loading code of New Zealand: the multiples for loads held straight down.

A code of practice: other methods are allowed. The multiples were read in one summary, not in the
code, and each finding says so. Start reading at `multiple.py`.
"""
