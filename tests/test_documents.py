"""What README and DEVELOPERS say of paths, modules, names, commands, variables and packages is so."""

from __future__ import annotations

import ast
import importlib.util
import re
import tomllib
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from pathlib import Path

import pytest
from program_files import ROOMS, ROOT

NAMES = ("README.md", "DEVELOPERS.md")
TOP = (*ROOMS, "tests", ".ci", ".packaging", ".readme")
"""Folders that a path of the repository begins with."""
ENDINGS = (".py", ".toml", ".j2", ".css", ".js")
"""Files that are known by their names alone."""
VARIABLE = re.compile(r"[A-Z][A-Z0-9]*(_[A-Z0-9]+)+|DISPLAY")


def document(name: str) -> str:
    return (ROOT / name).read_text("utf-8")


def in_backticks(text: str) -> set[str]:
    """Return what stands in backticks outside of blocks of code."""
    prose = re.sub(r"^```.*?^```$", "", text, flags=re.MULTILINE | re.DOTALL)
    paragraphs = re.split(r"\n\s*\n", prose)
    return {" ".join(said.split()) for p in paragraphs for said in re.findall(r"`([^`]+)`", p)}


def blocks(text: str, kind: str) -> list[str]:
    return re.findall(rf"^```{kind}\n(.*?)^```$", text, flags=re.MULTILINE | re.DOTALL)


def section(text: str, heading: str) -> str:
    """Return what stands under a heading, up to the next one of any level."""
    return re.split(r"^#+ ", text.split(f"# {heading}\n", 1)[1], maxsplit=1, flags=re.MULTILINE)[0]


def first_cells(table: str) -> list[str]:
    """Return the first cell of each row of a table, its head left out."""
    rows = re.findall(r"^\| (.+?) \|", table, flags=re.MULTILINE)
    return rows[1:]


@cache
def repository() -> dict[str, list[Path]]:
    """Return the files of the repository by name."""
    found: dict[str, list[Path]] = {}
    for top in TOP:
        for path in (p for p in (ROOT / top).rglob("*") if p.is_file() and "__pycache__" not in p.parts):
            found.setdefault(path.name, []).append(path)
    return found


@cache
def words() -> frozenset[str]:
    """Return every name that stands in the program, its data and its tests; this module left out."""
    endings = {".py", ".toml", ".yaml", ".j2"}
    files = [p for paths in repository().values() for p in paths if p.suffix in endings]
    texts = (p.read_text("utf-8") for p in files if p != Path(__file__))
    return frozenset(w for t in (*texts, document("pyproject.toml")) for w in re.findall(r"\w+", t))


def is_there(path: str) -> bool:
    """Return whether a path is one of the repository; ``<code>`` stands for any name."""
    wild = re.sub(r"<\w+>", "*", path).rstrip("/")
    return any(True for _ in ROOT.glob(wild))


def missing_paths(text: str) -> list[str]:
    """Return the paths and file names in backticks that are not in the repository."""
    found = []
    for said in in_backticks(text):
        path = said.split(" ")[0]  # a script may have its arguments behind it
        if path.split("/")[0] in TOP and "/" in path:
            there = is_there(path)
        elif path.endswith(ENDINGS) and "/" not in path and len(path) > 4:
            there = path in repository() or is_there(path)
        else:
            continue
        if not there:
            found.append(said)
    return sorted(found)


def missing_scripts(text: str) -> list[str]:
    """Return what commands run and is not there: ``python -m`` modules, and scripts and tests by their paths."""
    code = "\n".join((*blocks(text, "sh"), *in_backticks(text)))
    modules = [m for m in re.findall(r"python3? -m ([\w.]+)", code) if importlib.util.find_spec(m) is None]
    paths = re.findall(rf"(?<![\w./-])((?:{'|'.join(map(re.escape, TOP))})/[\w./-]+)", code)
    return sorted({*modules, *(p for p in paths if not is_there(p))})


def missing_modules(text: str) -> list[str]:
    """Return the modules of the diagram that are not there, each by its path from the repository or from its room."""
    (diagram,) = blocks(text, "text")
    paths = set(re.findall(r"[\w./]+\.(?:py|j2)\b", diagram))
    return sorted(p for p in paths if not is_there(p) and not any(is_there(f"{r}/{p}") for r in ROOMS))


def missing_names(text: str) -> list[str]:
    """Return the names of code in backticks that stand nowhere in the program: ``Step.stands_at_deg``, ``task_key``."""
    names = {s for s in in_backticks(text) if re.fullmatch(r"[A-Za-z_]\w*(\.[A-Za-z_]\w*)*", s)}
    coded = {s for s in names if re.search(r"[A-Z_]", s) and not s.endswith(ENDINGS)}
    return sorted(s for s in coded if not set(s.split(".")) <= words() and not VARIABLE.fullmatch(s))


def variables_in(source: str) -> set[str]:
    """Return the environment variables that a module reads or sets, as texts in code that knows the environment."""
    if not re.search(r"\benviron\b|\bgetenv\b|\bsetenv\b", source):
        return set()
    texts = (n.value for n in ast.walk(ast.parse(source)) if isinstance(n, ast.Constant))
    return {t for t in texts if isinstance(t, str) and VARIABLE.fullmatch(t)}


def variables_read() -> set[str]:
    files = (p for paths in repository().values() for p in paths if p.suffix == ".py" and p != Path(__file__))
    return set().union(*(variables_in(p.read_text("utf-8")) for p in files))


def variables_told(text: str) -> set[str]:
    return {v for cell in first_cells(section(text, "Environment variables")) for v in in_backticks(cell)}


def packages_declared() -> set[str]:
    project = tomllib.loads(document("pyproject.toml"))["project"]
    lines = (*project["dependencies"], *project["optional-dependencies"]["test"])
    return {re.split(r"[<>=!~;\[ ]", line, maxsplit=1)[0] for line in lines}


def packages_told(text: str) -> set[str]:
    return {
        p for cell in first_cells(section(text, "Dependencies, and why; packaging")) for p in cell.split(", ")
    }


def rooms_told(text: str) -> list[str]:
    """Return the packages of the table of rooms in its order, roots left out."""
    cells = first_cells(section(text, "Rooms, and rooms within rooms"))
    return [m[1] for cell in cells if (m := re.fullmatch(r"`(\w+/\w+)`", cell))]


def begin_at(text: str) -> Iterator[str]:
    """Yield where each package begins, as paths."""
    for row in section(text, "Rooms, and rooms within rooms").splitlines():
        cells = [c.strip() for c in row.strip("|").split("|")]
        package = re.match(r"`([\w/]+)`", cells[0])
        if package and len(cells) == 4:
            yield from (f"{package[1].rstrip('/')}/{f}" for f in re.findall(r"`(\w+\.py)`", cells[3]))


def sub_rooms() -> dict[str, tuple[str, ...]]:
    """Return the packages of each room, lowest first, as the test of imports holds them to it."""
    (listed,) = re.findall(
        r"^SUB_ROOMS = (\{.*?^\})", document("tests/test_structure.py"), re.MULTILINE | re.DOTALL
    )
    found: dict[str, tuple[str, ...]] = ast.literal_eval(listed)
    return found


CHECKS: dict[Callable[[str], list[str]], tuple[str, str]] = {
    missing_paths: ("See `geometry/head/heads.py` and `no_such.py`.", "geometry/head/heads.py no_such.py"),
    missing_scripts: (
        "`python -m benchleaf.sequences.no_schemas`\n```sh\npython tests/sheets/none.py X\n```\n",
        "benchleaf.sequences.no_schemas tests/sheets/none.py",
    ),
    missing_names: ("Ask `Step.stands_nowhere` or `NoSuchThing`.", "NoSuchThing Step.stands_nowhere"),
}
"""Each check with a text that holds its fault, and what it then finds."""


@pytest.mark.parametrize("check", CHECKS)
@pytest.mark.parametrize("name", NAMES)
def test_what_a_document_names_is_there(check: Callable[[str], list[str]], name: str) -> None:
    assert check(document(name)) == []


@pytest.mark.parametrize("check", CHECKS)
def test_what_is_not_there_is_found(check: Callable[[str], list[str]]) -> None:
    text, found = CHECKS[check]
    assert check(text) == found.split()


def test_every_module_of_the_diagram_is_there() -> None:
    assert missing_modules(document("DEVELOPERS.md")) == []
    seeded = "```text\nsequences/steps/resolve.py -> render/pictures/painter.py\n```\n"
    assert missing_modules(seeded) == ["render/pictures/painter.py"]


def test_the_table_of_rooms_holds_every_package_in_its_order() -> None:
    text = document("DEVELOPERS.md")
    assert rooms_told(text) == [f"{room}/{name}" for room, inner in sub_rooms().items() for name in inner]
    begun = list(begin_at(text))
    assert len(begun) > len(rooms_told(text))
    assert [p for p in begun if not (ROOT / p).is_file()] == []


def both_ways(told: Iterable[str], real: Iterable[str]) -> dict[str, list[str]]:
    return {"untold": sorted(set(real) - set(told)), "unreal": sorted(set(told) - set(real))}


SAME: dict[str, list[str]] = {"untold": [], "unreal": []}


def test_every_environment_variable_is_told_and_read() -> None:
    text = document("DEVELOPERS.md")
    assert both_ways(variables_told(text), variables_read()) == SAME
    assert variables_in('import os\nFOLDER = "MY_FOLDER"\nx = os.environ.get(FOLDER)\n') == {"MY_FOLDER"}
    assert variables_in('FOLDER = "MY_FOLDER"\n') == set()
    row = "# Environment variables\n\n| variable | does |\n|---|---|\n| `A_B`, `C_D` | this |\n\n# Next\n"
    assert both_ways(variables_told(row), {"A_B", "E_F"}) == {"untold": ["E_F"], "unreal": ["C_D"]}


def test_every_package_has_its_reason() -> None:
    assert both_ways(packages_told(document("DEVELOPERS.md")), packages_declared()) == SAME
    row = "# Dependencies, and why; packaging\n\n| package | why |\n|---|---|\n| numpy, oldlib | points |\n"
    assert both_ways(packages_told(row), {"numpy", "vtk"}) == {"untold": ["vtk"], "unreal": ["oldlib"]}
