"""How soon a step can be turned in 3D on a slow phone: a booklet in Chromium, four times slower than this machine.

    PYTHONPATH=tests/samples .venv/bin/python tests/benchmarks/viewer.py FOLDER

``FOLDER`` is a booklet's. Told are weights, the time from the tap until the step can be turned (scripts loaded and
parsed, model unpacked, meshes of the step made), and how much of that is work of scripts. The rest is waiting: mostly
for a drawing surface, which here the software renderer gives and on a phone its graphics processor.
"""

from __future__ import annotations

import statistics
import sys
from pathlib import Path

from browsing import browser, viewport

SLOWER = 4
STEPS = (1, 22, 40)
PHONE = viewport(360, 740)

WAITING = {"(program)", "(idle)", "solidCanvas"}
"""What a profile has besides scripts' own work; the last asks for the drawing surface."""
TOLD = """() => {
    const at = name => performance.getEntriesByName(name).at(-1).startTime;
    return [at('viewer-loaded') - at('viewer-asked'), at('viewer-ready') - at('viewer-asked')];
}"""


def main(folder: Path) -> None:
    """Print the figures of a booklet's folder."""
    for name in ("viewer.js", "model.js"):
        print(f"{name}: {(folder / 'viewer' / name).stat().st_size / 1e3:.0f} kB")
    print(f"booklet: {sum(f.stat().st_size for f in folder.rglob('*') if f.is_file()) / 1e6:.1f} MB")
    found = []
    with browser(solid=True) as chrome:
        for step in STEPS:
            context = chrome.new_context(
                viewport=PHONE, has_touch=True, is_mobile=True, device_scale_factor=2
            )
            page = context.new_page()
            page.goto((folder / "assembly.html").as_uri())
            session = context.new_cdp_session(page)
            session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
            session.send("Profiler.enable")
            session.send("Profiler.setSamplingInterval", {"interval": 500})
            session.send("Profiler.start")
            page.locator(f'.in-3d[data-step="assembly-{step}"]').click()
            page.wait_for_function(
                "() => performance.getEntriesByName('viewer-ready').length > 0", timeout=120_000
            )
            profile = session.send("Profiler.stop")["profile"]
            names = {n["id"]: n["callFrame"]["functionName"] for n in profile["nodes"]}
            spent = zip(profile["samples"], profile["timeDeltas"], strict=True)
            worked = sum(t for node, t in spent if names[node] not in WAITING) / 1000
            found.append([*page.evaluate(TOLD), worked])
            context.close()
    loaded, ready, worked = (statistics.median(values) for values in zip(*found, strict=True))
    print(f"scripts there after {loaded:.0f} ms, ready after {ready:.0f} ms; own work {worked:.0f} ms")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
