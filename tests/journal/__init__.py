"""The append-only log: entries, kinds, chain, folding, the store and its derived tables."""
