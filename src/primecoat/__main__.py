"""``python -m primecoat``, and the program itself.

Worker processes load this module too, as Python has it; so it loads nothing before it is run.
"""

import sys


def run() -> int:
    """Run the command line; return the exit code."""
    from primecoat.cli.main import run_process

    return run_process()


if __name__ == "__main__":
    sys.exit(run())
