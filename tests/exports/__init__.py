"""Tests of the exports room."""
