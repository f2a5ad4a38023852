"""Vocabulary and maths of colour; with ``config`` the only door to OpenColorIO."""
