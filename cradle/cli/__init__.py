"""Room: the command line.

One file a command; no geometry. Results go to standard output, progress and
errors to standard error. Exit codes: 0 done; 1 done, but a finding says not to
print it; 2 bad input; 3 impossible geometry; 4 could not write; 70 our own
fault; 130 and 143 when interrupted.
"""
