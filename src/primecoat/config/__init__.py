"""OpenColorIO configs: what one makes of a name, what is wrong with one, and one of our own."""
