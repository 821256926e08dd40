"""What the program's exit codes mean."""

DONE = 0
FOUND = 1
"""Done, but a finding does not meet or cannot be told, a check is late, or evidence does not
match."""
REFUSED = 2
"""Usage, or refused input: nothing was recorded."""
STORE = 3
"""The journal or the figures cannot be used."""
OUR_FAULT = 70
"""The program's own fault."""
STOPPED = 130
"""Stopped at the keyboard."""
