"""Room: loft."""
