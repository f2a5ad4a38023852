"""What the gate found, as JUnit XML: the form of test results that CI systems read.

One test suite is one target, one test case one image, colour or light; a finding that keeps the
gate closed is a test case of its own. The form has no standard document; this keeps to the
elements and attributes that its readers have in common (``testsuites``, ``testsuite``,
``properties``, ``testcase``, ``failure``, ``system-out``).
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Mapping, Sequence

from primecoat.findings import Finding
from primecoat.location import printable
from primecoat.plan.plan import Held

_NAME = "primecoat gate"


def junit_suite(
    name: str,
    *,
    explicit: Sequence[str],
    left: Sequence[Held],
    closing: Sequence[Finding] = (),
    others: Sequence[Finding] = (),
    properties: Mapping[str, str] | None = None,
) -> ET.Element:
    """Return the results of one target as a test suite.

    Parameters
    ----------
    name
        The target.
    explicit
        Places that are explicit: cases that pass.
    left
        What is left to a guess: cases that fail.
    closing, others
        Findings that keep the gate closed, as cases that fail; and the rest, as text.
    properties
        What holds for all of it, such as versions.
    """
    failures, total = len(left) + len(closing), len(explicit) + len(left) + len(closing)
    suite = ET.Element(
        "testsuite",
        name=printable(name),
        tests=str(total),
        failures=str(failures),
        errors="0",
        skipped="0",
    )
    if properties:
        listed = ET.SubElement(suite, "properties")
        for key, value in properties.items():
            ET.SubElement(listed, "property", name=key, value=printable(value))
    for where in explicit:
        _case(suite, "explicit", where)
    for held in left:
        _failure(_case(suite, "explicit", held.where), "left to a guess", held.why, held.remedy)
    for finding in closing:
        case = _case(suite, finding.name, f"{finding.code} {finding.where}")
        _failure(case, finding.code, finding.message, finding.remedy)
    if others:
        told = ET.SubElement(suite, "system-out")
        told.text = "".join(
            printable(f"{f.code} {f.severity}: {f.where}: {f.message} {f.remedy}") + "\n"
            for f in others
        )
    return suite


def junit_text(suites: Sequence[ET.Element]) -> str:
    """Return test suites as one XML text.

    Examples
    --------
    >>> print(junit_text([junit_suite("tea.gltf", explicit=["cup_data.png"], left=[])]))
    <?xml version="1.0" encoding="UTF-8"?>
    <testsuites name="primecoat gate" tests="1" failures="0" errors="0">
      <testsuite name="tea.gltf" tests="1" failures="0" errors="0" skipped="0">
        <testcase classname="explicit" name="cup_data.png" />
      </testsuite>
    </testsuites>
    <BLANKLINE>
    """
    counts = {
        key: str(sum(int(suite.get(key, "0")) for suite in suites))
        for key in ("tests", "failures", "errors")
    }
    root = ET.Element("testsuites", {"name": _NAME, **counts})
    root.extend(suites)
    ET.indent(root)
    body = ET.tostring(root, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{body}\n'


def is_junit_of_ours(text: str) -> bool:
    """Whether a text is such a file, written here."""
    return f'<testsuites name="{_NAME}"' in text[:200]


def _case(suite: ET.Element, kind: str, name: str) -> ET.Element:
    return ET.SubElement(suite, "testcase", classname=kind, name=printable(name))


def _failure(case: ET.Element, kind: str, message: str, remedy: str) -> None:
    failure = ET.SubElement(case, "failure", type=kind, message=printable(message))
    failure.text = printable(remedy)
