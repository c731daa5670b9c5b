"""Room: export."""
