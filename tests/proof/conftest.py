"""The card and the demo, each written once."""

from __future__ import annotations

import shutil

import pytest

from primecoat.proof.card import write_card


@pytest.fixture(scope="session")
def card_folder(tmp_path_factory):
    """The card as it was written."""
    folder = tmp_path_factory.mktemp("card") / "card"
    write_card(folder)
    return folder


@pytest.fixture(scope="session")
def demo_folder(measured_faulted, tmp_path_factory):
    """The demo as it was written, surveyed once: its copies need not be measured; never changed."""
    return shutil.copytree(measured_faulted, tmp_path_factory.mktemp("demo") / "tea")


@pytest.fixture(scope="session")
def tea_folder(demo_folder, tmp_path_factory):
    """A copy of the demo beside whose files tests may lay others."""
    return shutil.copytree(demo_folder, tmp_path_factory.mktemp("tea") / "tea")


@pytest.fixture
def tea(demo_folder, tmp_path):
    """A copy of the demo that a test may change."""
    return shutil.copytree(demo_folder, tmp_path / "tea")
