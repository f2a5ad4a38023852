"""What can be wrong with an OpenColorIO config: one idea a module, each with ``check(subject)``."""
