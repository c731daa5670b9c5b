"""Room: project."""
