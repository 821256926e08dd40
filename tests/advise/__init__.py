"""Tests of what would mend a plan."""
