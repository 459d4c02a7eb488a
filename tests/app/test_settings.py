"""Where the app finds its folders."""

from pathlib import Path

import pytest

from app.settings import bundled


def test_a_folder_inside_the_package_goes_before_one_beside_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = tmp_path / "app"
    beside = tmp_path / "static"
    beside.mkdir()
    monkeypatch.setattr("app.settings._PACKAGE", package)
    assert bundled("static") == beside
    (package / "static").mkdir(parents=True)
    assert bundled("static") == package / "static"


def test_a_missing_folder_says_what_to_do(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("app.settings._PACKAGE", tmp_path / "app")
    with pytest.raises(FileNotFoundError, match="install Channelday again"):
        bundled("static")
