"""From a few measured sections of an odd-shaped thing to a printable holder that fits."""

__version__ = "0.1.0"
