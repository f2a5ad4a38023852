"""Prove what a change does: a test card, and a small light-path picture."""
