"""A small plan with everything a page can show, for tests of the pages alone; the pumps are invented."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import KINDS
from benchleaf.sequences.steps.plan import Caution, Leg, Measurement, Move, Plan, Section, Step
from benchleaf.sequences.values.head_values import resolve_values
from benchleaf.sequences.values.instruments import instruments
from benchleaf.sequences.values.sourced_values import ResolvedValue, Source, SourcedValue
from benchleaf.site.pages.booklet import Booklet, make_chapter, make_values
from benchleaf.site.pages.view_models import FilmView, Identity, Label, PartRow, PictureView
from benchleaf.site.words.catalogue import load_words
from benchleaf.site.words.value_words import ChangeText
from PIL import Image, ImageDraw

LOCK_OUT = Caution(
    "lock-out",
    "DANGER",
    "Unexpected start.",
    "A turning rotor will cut off fingers.",
    "Isolate, lock out and tag the drive, and try the start button, before you touch the head.",
)
PRESSURE = Caution(
    "pressure",
    "WARNING",
    "Pressure or hot liquid in the head.",
    "It could burn or blind you.",
    "Close both valves, drain, and see the gauge at zero.",
)
SHARP = Caution(
    "sharp",
    "CAUTION",
    "Sharp edges on the flats.",
    "They could cut your fingers.",
    "Wear cut-resistant gloves.",
)
FACES = Caution(
    "faces",
    "NOTICE",
    "Seal faces scratch and take fingerprints.",
    "A marked face leaks.",
    "Hold the ring by its outside; wipe the face with a clean lint-free cloth.",
)

SECTIONS = (
    Section("shafts", "Shafts", (SHARP,)),
    Section("seals", "Seals", (FACES,)),
    Section("body", "Body"),
    Section("rotors", "Rotors and nuts"),
    Section("cover", "Cover"),
    Section("checks", "Checks"),
)


def sample_step(number: int, section: str, title: str, **more: object) -> Step:
    """Return a step that holds all it must, and ``more``."""
    fields: dict[str, object] = {
        "acts": ("Wipe the part and its place.", "Fit it by hand, square to the shaft, until it bears."),
        "look": ("It bears all round.",),
        "why": "The next part closes it in.",
        "tools": ("soft-faced mallet",),
        "supplies": ("lint-free cloth",),
        "cautions": (SHARP,),
        "moves": (Move(("rotor_drive",), (Leg((0.0, 0.0, -1.0)),)),),
    }
    fields.update(more)
    return Step(number, f"step_{number}", section, title, (), **fields)  # type: ignore[arg-type]


def sample_plan() -> Plan:
    """Return ten steps in six sections."""
    torque = Measurement(
        "front_gap",
        "Front-face clearance, drive rotor, at four places",
        "mm",
        "front_face_clearance",
        "Straightedge across the body's face, feeler under it. Note the least.",
    )
    free = Measurement(
        "turn",
        "Turns by hand without a tight place",
        "pass",
        None,
        "Wrench on the shaft's end, steady half turn.",
    )
    steps = [
        sample_step(
            1,
            "shafts",
            "Look over both shafts and dress the shoulders",
            acts=(
                "Run a fingertip round each shoulder.",
                "Dress a burr with a fine stone, away from the seal journal.",
                "Wipe with a lint-free cloth.",
            ),
            moves=(),
            focus=("shaft_drive", "shaft_driven"),
        ),
        sample_step(
            2,
            "shafts",
            "Slide an O-ring on each shaft up to the shoulder",
            supplies=("assembly lubricant", "lint-free cloth"),
        ),
        sample_step(
            3,
            "seals",
            "Push a rotating ring on each shaft, flats to flats",
            cautions=(FACES, SHARP),
            look=(
                "The lapped face looks at you.",
                "The flats are engaged: the seat does not turn on the shaft.",
            ),
        ),
        sample_step(4, "seals", "Set wave spring and stationary ring into the body", cautions=(FACES,)),
        sample_step(
            5,
            "body",
            "Lower the body over shafts and studs onto its dowels",
            cautions=(PRESSURE, SHARP),
            tools=("hoist or second person", "soft-faced mallet"),
            why="The rotors run inside the body, and the stationary rings in it meet the seats on the shafts: "
            "neither can be reached once the rotors are on.",
        ),
        sample_step(
            6,
            "body",
            "Draw the body down evenly with the two retaining screws",
            values=("body_screw_torque",),
        ),
        sample_step(
            7, "rotors", "Slide the first rotor on its shaft over the key", cautions=(LOCK_OUT, SHARP)
        ),
        sample_step(
            8,
            "rotors",
            "Tighten the rotor nut with a torque wrench",
            cautions=(LOCK_OUT, SHARP),
            acts=(
                "Hold the rotors with a block of soft plastic.",
                "Tighten to 85 N·m in two stages, 40 N·m first.",
            ),
            values=("rotor_nut_torque",),
            tools=("torque wrench 20 to 120 N·m", "holding block of soft plastic"),
        ),
        sample_step(
            9,
            "cover",
            "Fit the cover on its dowels and tighten the nuts crosswise",
            values=("cover_nut_torque",),
        ),
        sample_step(
            10,
            "checks",
            "Measure the front-face clearance and turn the head by hand",
            moves=(),
            measure=(torque, free),
            values=("front_face_clearance",),
        ),
    ]
    return Plan("assembly", "Assembly", "P-101", SECTIONS, tuple(steps), cautions=(LOCK_OUT, PRESSURE))


def sample_values() -> dict[str, ResolvedValue]:
    """Return two values on file, the others as blanks."""
    sheet = Source("Invented Works, data sheet IW-70", "3", "4")
    given = {
        "rotor_nut_torque": SourcedValue(Decimal(85), "N·m", sheet, "2024-02-01", tolerance=Decimal(5)),
        "front_face_clearance": SourcedValue(
            None, "mm", sheet, "2024-02-01", span=(Decimal("0.10"), Decimal("0.18"))
        ),
    }
    return resolve_values(given, Options())


def draw_placeholder(path: Path, width: int = 1200, height: int = 900) -> None:
    """Draw a stand-in picture, for tests of the page's own layout."""
    image = Image.new("RGB", (width, height), "white")
    pen = ImageDraw.Draw(image)
    for i in range(6):
        inset = (i + 1) * min(width, height) // 16
        pen.ellipse((inset, inset, width - inset, height - inset), outline=(90, 90, 90), width=4)
    image.save(path)


def sample_booklet(tag: str = "P-101", pictures: bool = True) -> Booklet:
    """Return a booklet of the sample plan; step 4 has no picture, step 5 a film."""
    words = load_words()
    plan = sample_plan()
    values = sample_values()
    figures = {
        s.id: PictureView(
            f"pictures/{s.id}.png",
            1200,
            900,
            f"{s.title}.",
            labels=(Label("1", "Rotor"), Label("2", "Shaft, drive side")),
            film=FilmView("pictures/film.webp", 640, 480, "The same in motion.") if s.number == 5 else None,
        )
        for s in plan.steps
        if s.number != 4 and pictures
    }
    rows = tuple(
        PartRow(i, k, n, 1 + i % 3, "316L stainless steel", (k,)) for i, (k, n) in enumerate(KINDS.items(), 1)
    )
    return Booklet(
        identity=Identity(
            tag,
            "IW-70",
            "Cream to filler 2",
            "C",
            "2025-03-01",
            (("Rotors", "two wings"), ("Shaft seal", "single mechanical"), ("Elastomer", "FKM")),
        ),
        standing=plan.cautions,
        overview=PictureView(
            "pictures/overview.png", 1600, 1000, "All parts of the head pulled apart along the shafts."
        ),
        parts=rows,
        chapters=(make_chapter(plan, figures, values, instruments=instruments),),
        values=make_values(values, (plan,)),
        changes=(ChangeText("Rotor nut torque", "80 ± 5\u00a0N·m", "85 ± 5\u00a0N·m"),),
        demo_short="Invented plant. " + words("notice.short"),
    )


def draw_sample_pictures(folder: Path) -> None:
    """Draw the pictures that :func:`sample_booklet` shows."""
    (folder / "pictures").mkdir(parents=True, exist_ok=True)
    for n in range(1, 11):
        draw_placeholder(folder / "pictures" / f"step_{n}.png")
    draw_placeholder(folder / "pictures" / "overview.png", 1600, 1000)
    frames = [Image.new("RGB", (640, 480), (80 * n, 114, 178)) for n in range(3)]
    film = folder / "pictures" / "film.webp"
    frames[0].save(film, save_all=True, append_images=frames[1:], duration=[500, 500, 900], loop=0)
