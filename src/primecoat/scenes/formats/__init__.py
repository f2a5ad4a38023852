"""One module a scene format; none imports another."""
