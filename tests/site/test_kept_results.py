"""Kept results lie where the system keeps such files, within their bound; a store that takes nothing is no fault."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from benchleaf.sequences.work.store import Store
from benchleaf.site.build.kept_results import MOST_BYTES, most_bytes, open_store, store_folder
from benchleaf.site.build.user_faults import UserFault


def test_they_lie_where_the_user_says(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("BENCHLEAF_CACHE", str(tmp_path))
    assert store_folder() == tmp_path
    monkeypatch.delenv("BENCHLEAF_CACHE")
    assert store_folder().parts[-2:] == ("benchleaf", "store")


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the rules of the Linux desktop")
def test_they_lie_in_the_cache_of_the_desktop(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("BENCHLEAF_CACHE", raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert store_folder() == tmp_path / "benchleaf" / "store"
    monkeypatch.delenv("XDG_CACHE_HOME")
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    assert store_folder() == tmp_path / "home" / ".cache" / "benchleaf" / "store"


def test_the_bound_is_the_users(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("BENCHLEAF_STORE_MB", raising=False)
    assert most_bytes() == MOST_BYTES
    monkeypatch.setenv("BENCHLEAF_STORE_MB", "1")
    with open_store(tmp_path) as store:
        for n in range(4):
            store.put(f"{n:040x}", {"a": bytes([n]) * 400_000})
    assert Store(tmp_path).size().bytes <= 1_000_000
    assert [n for n in range(4) if Store(tmp_path).has(f"{n:040x}")] == [2, 3]


@pytest.mark.parametrize("given", ["", "-1", "two", "1.5"])
def test_a_bound_that_is_none_is_told(monkeypatch: pytest.MonkeyPatch, given: str) -> None:
    monkeypatch.setenv("BENCHLEAF_STORE_MB", given)
    with pytest.raises(UserFault, match=r"BENCHLEAF_STORE_MB is '.*'; allowed: a whole number of megabytes"):
        most_bytes()


def test_without_a_folder_nothing_is_kept() -> None:
    with open_store(None) as store:
        store.put("ab" * 20, {"a": b"1"})
        assert store.get("ab" * 20) == {"a": b"1"}
        folder = store.folder
    assert not folder.exists()


def test_what_the_folder_cannot_take_is_there_for_this_time(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    with open_store(blocked) as store:
        store.put("ab" * 20, {"a": b"1"})
        assert store.unwritable
        assert store.has("ab" * 20)
        assert store.get("ab" * 20) == {"a": b"1"}
    assert Store(blocked).get("ab" * 20) is None
