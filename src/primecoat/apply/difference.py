"""In what a file differs from what it was: its size, time and hash, and the lines of a text."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from primecoat.files import Identity, sha256_of_bytes
from primecoat.location import counted, printable

_HASH, _WIDTH, _LEAD = 12, 48, 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """What is known of a file as it was.

    Parameters
    ----------
    sha256
        Hash of its bytes.
    size, modified_ns
        0 if that is not known.
    data
        The bytes themselves, where they can be had.
    """

    sha256: str
    size: int = 0
    modified_ns: int = 0
    data: bytes | None = None


def difference(path: Path, then: Earlier) -> str:
    r"""Return in one line what a file is now and what it was.

    Examples
    --------
    >>> import os, tempfile
    >>> folder = tempfile.TemporaryDirectory()
    >>> path = Path(folder.name) / "tea.csv"
    >>> _ = path.write_bytes(b"cup\nsaucer\n")
    >>> os.utime(path, (86400, 86400))
    >>> earlier = Earlier(sha256="00" * 32, size=8, data=b"cup\npot\n")
    >>> difference(path, earlier)  # doctest: +ELLIPSIS
    "now 11 bytes of 1970-01-02 00:00:00 UTC, hash ...; then 8 bytes, hash 000000000000; line 2
    was 'pot' and is 'saucer'"
    >>> folder.cleanup()
    """
    if path.is_symlink():
        return f"now a link to {printable(str(path.readlink()))}; then {_told(then)}"
    if not path.is_file():
        kind = "another kind of file" if path.exists() else "gone"
        return f"now {kind}; then {_told(then)}"
    identity, data = Identity.of(path), path.read_bytes()
    now = Earlier(
        sha256=sha256_of_bytes(data), size=identity.size, modified_ns=identity.modified_ns
    )
    words = f"now {_told(now)}; then {_told(then)}"
    lines = "" if then.data is None else _lines(then.data, data)
    return f"{words}; {lines}" if lines else words


def _told(state: Earlier) -> str:
    words = f"hash {state.sha256[:_HASH]}"
    if state.size or state.modified_ns:
        words = f"{counted(state.size, 'byte')}{_of(state.modified_ns)}, {words}"
    return words


def _of(modified_ns: int) -> str:
    if not modified_ns:
        return ""
    return f" of {datetime.fromtimestamp(modified_ns // 10**9, UTC):%Y-%m-%d %H:%M:%S} UTC"


def _lines(then: bytes, now: bytes) -> str:
    """Return which lines differ and the first of them; nothing for what is no text."""
    if b"\0" in then + now:
        return ""
    old, new = (data.decode("utf-8", "replace").splitlines() for data in (then, now))
    shorter = min(len(old), len(new))
    start = next((n for n in range(shorter) if old[n] != new[n]), shorter)
    if start == len(old) == len(new):
        return "only line ends differ"
    rest = shorter - start
    same = next((n for n in range(rest) if old[-1 - n] != new[-1 - n]), rest)
    last = max(len(new) - same, start + 1)
    which = f"line {last}"
    if last > start + 1:
        which = f"lines {start + 1} to {last} differ, the first"
    was, is_ = _windows(old[start : len(old) - same], new[start : len(new) - same])
    return f"{which} was {was} and is {is_}"


def _windows(old: list[str], new: list[str]) -> tuple[str, str]:
    """Return two lines, cut to where they begin to differ; ``none`` for one that is not there."""
    first, second = "".join(old), "".join(new)
    pairs = zip(first, second, strict=False)
    at = next((n for n, (a, b) in enumerate(pairs) if a != b), min(len(first), len(second)))
    begin = max(0, at - _LEAD) if at >= _WIDTH - _LEAD else 0

    def shown(lines: list[str]) -> str:
        if not lines:
            return "none"
        cut = lines[0][begin : begin + _WIDTH]
        more = "…" if begin + _WIDTH < len(lines[0]) else ""
        return f"'{'…' * (begin > 0)}{printable(cut)}{more}'"

    return shown(old), shown(new)
