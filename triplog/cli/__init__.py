"""The terminal: parse, call one desk function, print.

The only room, with the page to come, that asks the machine for the time and prints. Commands come
one file per subject; `main.py` puts them together and turns errors into exit codes. A command
imports what it needs when it runs, so that the quick ones stay quick.
"""
