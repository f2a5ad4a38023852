"""The parts of the HTML pages, one question of the reader a file."""
