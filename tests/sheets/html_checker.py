"""Read every page of a library with the Nu HTML checker; status 1 where it finds an error.

    npm install --ignore-scripts vnu-jar                 # and Debian's default-jre-headless
    python tests/sheets/html_checker.py node_modules/vnu-jar/build/dist/vnu.jar demo-library

What it says of the content-security policy is left out: it knows no pages that are opened from disk, whose scheme the
policy names. The browser itself is asked about that (``tests/site/test_content_policy.py``).
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections import Counter
from pathlib import Path

POLICY = "Content Security Policy"


def messages(checker: Path, pages: list[Path]) -> list[dict[str, object]]:
    """Return what the checker says of ``pages``, besides of their policy.

    Raises:
        FileNotFoundError: if there is no Java.
        ValueError: if the checker does not answer in JSON.
    """
    command = ["java", "-jar", str(checker), "--format", "json", "--exit-zero-always", "--stdout"]
    told = subprocess.run([*command, *map(str, pages)], check=True, capture_output=True, text=True).stdout
    return [m for m in json.loads(told)["messages"] if POLICY not in m["message"]]


def main(checker: str, folder: str) -> int:
    """Print each message once a page, with how often it stands there; return the exit status."""
    pages = sorted(Path(folder).rglob("*.html"))
    if not pages:
        print(f"no page in {folder}")
        return 1
    found = messages(Path(checker), pages)
    count = Counter((str(m["type"]), str(m["url"]).rpartition("/")[2], str(m["message"])) for m in found)
    for (kind, page, text), times in sorted(count.items()):
        print(f"{kind}: {page}: {text} ({times})")
    errors = sum(m["type"] != "info" for m in found)
    print(f"{len(pages)} pages, {errors} errors, {len(found) - errors} remarks")
    return 1 if errors else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:3]))
