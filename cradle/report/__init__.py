"""Room: report."""
