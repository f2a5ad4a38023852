"""The version of primecoat, below everything else so that any module may name it."""

__version__ = "0.1.0"
