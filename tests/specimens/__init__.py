"""Damaged bundles, built by code and named by their fault."""
