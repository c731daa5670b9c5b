"""Room: sections."""
