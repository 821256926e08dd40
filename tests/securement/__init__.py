"""Tests of the pure core: quantities, the plan, its figures, its rules."""
