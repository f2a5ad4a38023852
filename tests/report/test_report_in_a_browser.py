"""The report has no serious violation of WCAG 2.2 A and AA that axe-core (Deque) can find."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser
from tests.desk.browser.test_access import TAGS, axe_script, grave

from primecoat import workflow


@pytest.mark.open_data
def test_no_serious_violation(browser: Browser, studio_survey, tmp_path: Path) -> None:
    page_file = tmp_path / "report.html"
    page_file.write_text(workflow.report(studio_survey), encoding="utf-8")
    wrong = {}
    for theme in ("light", "dark"):
        context = browser.new_context(
            viewport={"width": 1280, "height": 720}, bypass_csp=True, color_scheme=theme
        )
        page = context.new_page()
        page.goto(page_file.as_uri())
        page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
        page.evaluate(axe_script())
        found = page.evaluate(
            "(only) => axe.run({ runOnly: only, resultTypes: ['violations'] })", TAGS
        )
        assert found["passes"]
        wrong[theme] = grave(found)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        context.close()
    assert not any(wrong.values()), wrong
