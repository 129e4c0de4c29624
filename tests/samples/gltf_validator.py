"""The published glTF validator, run in the browser of the page tests."""

from __future__ import annotations

import base64
from pathlib import Path
from typing import Any

from browsing import browser

VALIDATOR = Path(__file__).parents[1] / "vendor" / "gltf_validator.dart.js"


def validate(data: bytes) -> dict[str, Any]:
    """Return the validator's report on a GLB; it is plain script, so the browser of the page tests runs it."""
    with browser() as chromium:
        page = chromium.new_page()
        page.set_content("<title>glTF</title>")
        page.evaluate("globalThis.exports = {}")
        page.add_script_tag(path=str(VALIDATOR))
        report = page.evaluate(
            """async (text) => {
                const bytes = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
                return await exports.validateBytes(bytes, {maxIssues: 0, writeTimestamp: false});
            }""",
            base64.b64encode(data).decode("ascii"),
        )
        assert isinstance(report, dict)
        return report
