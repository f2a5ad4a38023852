"""``python -m primecoat``."""

import sys

from primecoat.cli.main import run

if __name__ == "__main__":
    sys.exit(run())
