"""Room: pocket."""
