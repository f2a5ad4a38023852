"""Renders handed over: files that others read correctly, each read back before it gets its name."""
