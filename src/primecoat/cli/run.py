"""Run the command line and turn every outcome into an exit code and at most one line on stderr.

0 done and ready · 1 done, not ready · 2 wrong use or unreadable input · 3 our own failure ·
130 interrupted.
"""

from __future__ import annotations

import sys
import tempfile
import traceback
from pathlib import Path

import typer
from typer.exceptions import TyperException

from primecoat.errors import PrimecoatError
from primecoat.location import printable
from primecoat.version import __version__

EXIT_OWN_FAILURE = 3
EXIT_INTERRUPTED = 130


def run_app(app: typer.Typer, arguments: list[str] | None) -> int:
    """Run an app with arguments (by default those of the process); return its exit code."""
    _write_utf8()
    given = sys.argv[1:] if arguments is None else arguments
    try:
        outcome = app(args=given or ["--help"], standalone_mode=False, prog_name="primecoat")
    except PrimecoatError as error:
        print(f"primecoat: {printable(str(error))}", file=sys.stderr)
        return error.exit_code
    except TyperException as error:
        context = getattr(error, "ctx", None)
        command = context.command_path if context else "primecoat"
        words = f"{error.format_message()} See '{command} --help'."
        print(f"primecoat: {printable(words)}", file=sys.stderr)
        return 2
    except (KeyboardInterrupt, typer.Abort):
        return _interrupted()
    except BrokenPipeError:
        return 0
    except OSError as error:
        place = f" {error.filename}" if error.filename else ""
        refusal = f"The system refused{place}: {error.strerror or error}. Check name and rights."
        print(f"primecoat: {printable(refusal)}", file=sys.stderr)
        return 2
    except Exception:  # noqa: BLE001 the last border: our own failure
        log = _write_log()
        print(
            f"primecoat: This is a fault of primecoat {__version__}, not yours. Please report it "
            f"with {log}.",
            file=sys.stderr,
        )
        return EXIT_OWN_FAILURE
    if not given:
        return 2
    if outcome == EXIT_INTERRUPTED:  # the parser turns an interrupt into this code, silently
        return _interrupted()
    return outcome if isinstance(outcome, int) else 0


def _interrupted() -> int:
    print("primecoat: interrupted; see 'primecoat recover' if it was applying.", file=sys.stderr)
    return EXIT_INTERRUPTED


def _write_log() -> Path:
    with tempfile.NamedTemporaryFile(
        "w", prefix="primecoat-", suffix=".log", delete=False, encoding="utf-8"
    ) as log:
        log.write(f"primecoat {__version__}\n{traceback.format_exc()}")
    return Path(log.name)


def _write_utf8() -> None:
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")
