"""Pixels into another colour space, with nothing else about the picture changed."""
