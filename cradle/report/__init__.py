"""Room: what was made, told in numbers, words and drawings."""
