"""The hub, on a real PostgreSQL that is started for the tests and thrown away."""
