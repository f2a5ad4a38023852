"""Findings on a scene that was read: one check a module."""

from primecoat.checks.registry import run_checks

__all__ = ["run_checks"]
