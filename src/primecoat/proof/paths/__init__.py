"""A small light-path picture: a measurement of what a change of working space does."""
