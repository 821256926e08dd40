"""The hub of a carrier: where the logs of many devices arrive, on PostgreSQL (extra `fleet`)."""
