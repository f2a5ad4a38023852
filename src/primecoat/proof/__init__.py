"""Proof: what the switch does to a scene, computed here, and a test card that is rendered there."""
