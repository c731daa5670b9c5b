"""Room: holder."""
