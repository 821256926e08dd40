"""The page: a real server over a real store, and a browser before it."""
