"""Which triplog this is; every judgement and export names it."""

__version__ = "0.1.0"
