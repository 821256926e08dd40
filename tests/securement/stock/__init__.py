"""Tests of reading stock lists."""
