"""Picture files taken in."""
