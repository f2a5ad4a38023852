"""Scenes with known answers: a small pottery's tea set in a walled courtyard.

Everything is made by arithmetic from fixed seeds: shapes, glazes, walls, light. The answers
come from the scene's own documents and the standards, never from the judge they test.
"""

from primecoat.demo.write import write_demo

__all__ = ["write_demo"]
