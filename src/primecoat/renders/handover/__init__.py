"""Hand over renders: files made from masters that others read correctly, each one proved."""
