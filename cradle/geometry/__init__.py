"""Room: geometry."""
