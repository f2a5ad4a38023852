"""One picture as it would be under a reading: for looking at, and its numbers for asking."""
