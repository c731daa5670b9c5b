"""Room: capture."""
