"""A fleet of one invented pump with every kind of addition, and the same with a mistake in each."""

from __future__ import annotations

from pathlib import Path

from PIL import Image

FLEET = """\
plant: Invented Works
demo: true
sizes:
  "62": {shaft_centre_distance_mm: 62, rotor_diameter_mm: 88, rotor_width_mm: 43, shaft_diameter_mm: 24,
         port_bore_mm: 36}
  "80": {shaft_centre_distance_mm: 80, rotor_diameter_mm: 113, rotor_width_mm: 56, shaft_diameter_mm: 30,
         port_bore_mm: 46}
heads:
  - {tag: P-1, size: "62"}
  - {tag: P-2, size: "80"}
"""
ADDITIONS = """\
note: Every kind of addition, for an invented plant.
look: {logo: logo.png, logo_alt: Invented Works, accent: "#1f5f3f"}
contact: {ask: "Maintenance training, building 4", phone: 4711, mail: training@works.example}
address: https://training.works.example/pumps/
additions:
  - {kind: note, step: clean_gear_case, text: Cloths lie in cage 4.}
  - {kind: note, step: clean_gear_case, for: "62", text: Only small cloths here.}
  - {kind: photo, step: clean_gear_case, for: P-1, file: photos/face.jpg, alt: The bare face of the gear case,
     caption: P-1 after cleaning}
  - {kind: act, step: clean_gear_case, place: before,
     act: Run a cover nut down each stud by hand and off again., text: "Count {count:stud} studs."}
  - {kind: act, step: clean_gear_case, text: Hang the cloths up to dry.}
  - kind: step
    step: clean_gear_case
    new:
      id: photo_before
      title: Take a photo of the open gear case
      focus: gear_case
      acts: [Take one photo from the front., Send it to the office.]
      cautions: lock_out
  - {kind: note, step: photo_before, text: Phones need a permit here.}
  - {kind: caution, step: clean_gear_case, caution: fork_lifts, signal_word: WARNING, hazard_kind: weight,
     hazard: Fork lifts pass behind you., consequence: They could run you over.,
     avoidance: Put the barrier up before you begin.}
  - {kind: caution, step: photo_before, caution: pressure_inside}
  - {kind: sharper, caution: lock_out, text: Ring the control room as well.}
  - {kind: sharper, caution: sharp_edges, signal_word: WARNING, consequence: They could cut a tendon.}
  - {kind: change, step: clean_gear_case, was: Clean the face of the gear case,
     text: Clean the face of the gear case until a white cloth stays white}
  - {kind: leave_out, step: leak_check, because: Quality assurance does it., sequence: assembly, messages_to: hand_back}
"""
BAD = """\
look: {logo: no.png, accent: "#ffd700"}
additions:
  - {kind: note, step: clean_gear_cas, text: Cloths lie in cage 4.}
  - {kind: photo, step: clean_gear_case, file: bad.jpg, for: P-9}
  - {kind: act, step: clean_gear_case, act: Run a cover nut down every stud, text: Count the studs.}
  - {kind: sharper, caution: lock_out, signal_word: NOTICE}
  - {kind: sharper, caution: lock_oot, text: Ask.}
  - {kind: note, step: shaft_orings, text: Tighten to 45 N·m, because: no}
  - {kind: step, step: clean_gear_case, new: {id: look_again, title: Look, focus: gear_cas, cautions: lock_out}}
  - {kind: caution, step: clean_gear_case, caution: mud, signal_word: DANGER, hazard_kind: slip, hazard: Mud.,
     consequence: You could slip., avoidance: Wipe it.}
  - {kind: leave_out, step: safe_to_work, sequence: assembly, because: We trust each other.}
  - {kind: leave_out, step: shaft_orings, because: We do it before.}
  - {kind: nota, step: shaft_orings}
  - {kind: leave_out, step: turn_closed, because: No., messages_to: shaft_oring}
  - {kind: note, step: shaft_orings, sequence: cleaning, text: x}
  - {kind: leave_out, step: cover_on, because: Too heavy., messages_to: cover_nuts}
"""


def write_additions_fleet(folder: Path, additions: str = ADDITIONS, table: str = "") -> Path:
    """Write a fleet with its additions, photo and logo into ``folder`` and return the fleet file."""
    (folder / "fleet.yaml").write_text(FLEET, "utf-8")
    own = folder / "additions"
    (own / "photos").mkdir(parents=True)
    (own / "plant.yaml").write_text(additions, "utf-8")
    if table:
        (own / "table.csv").write_text(table, "utf-8")
    Image.new("RGB", (900, 200), "seagreen").save(own / "logo.png")
    located_photo(own / "photos" / "face.jpg")
    (own / "bad.jpg").write_bytes(b"no picture")
    return folder / "fleet.yaml"


def located_photo(file: Path, size: tuple[int, int] = (400, 200)) -> None:
    """Write a photo held on its side, left half red, with maker, place and a comment in it."""
    photo = Image.new("RGB", size, "red")
    photo.paste("blue", (size[0] // 2, 0, *size))
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned a quarter clockwise
    exif[0x010F] = "Invented maker"
    place = exif.get_ifd(0x8825)
    place[1], place[2] = "N", (51.0, 30.0, 0.0)
    photo.save(file, exif=exif, comment=b"a name", quality=95)
