"""Files broken in the ways that files break, or are broken on purpose: for tests of every reader.

mutated(data, chance) -> bytes      # one to four changes
MUTATIONS: dict[str, Mutation]      # by name; each takes and returns bytes
"""

from __future__ import annotations

import io
import random
import zipfile
from collections.abc import Callable

Mutation = Callable[[bytes, random.Random], bytes]
MOST_BYTES = 400_000
"""No file grows beyond this: what is too large for a reader is tried on its own."""
WORDS = [
    b"", b"\0", b"\x1b[2J", b"\xff\xfe", b"\xc3\x28", b"\xed\xa0\x80", b"\xf0\x9f\x98\x80",
    b"\xe2\x80\xa8", b"\xc2\x85", b"&a ", b"*a", b"!!python/object/apply:os.system ['true']", b"<<: ",
    b"? ", b"- ", b": ", b"#", b"|\n", b">-\n", b"%YAML 1.1\n", b"---\n", b"...\n", b"{", b"}", b"[", b"]",
    b"'", b'"', b"\\", b"\\ud800", b"\\x00", b"\t", b"\r", b"\r\n", b",", b";", b"@", b"`",
    b"../../../etc/passwd", b"/dev/zero", b"C:\\x", b"=1+1", b"=cmd|'/c'!A0", b"null", b"true", b"~",
    b".nan", b".inf", b"NaN", b"{count:stud}", b"{value:", b"{", b"all", b"when: {seal: double}",
    b"1" * 400, b"a" * 5000, b"\n" * 50, b" " * 200,
]  # fmt: skip
NUMBERS = [
    b"0", b"-0", b"-1", b"1e308", b"1e999", b"-1e999", b"1e-320", b"0x7f", b"0o17",
    b"99999999999999999999", b"4294967295", b"2147483648", b"1.7976931348623157e308", b"0.1e-400",
    b"1_000", b"1,5", b"nan", b"inf", b"1" + b"0" * 5000, b"3.", b".5", b"--3", b"+",
]  # fmt: skip


def mutated(data: bytes, chance: random.Random) -> bytes:
    """Return ``data`` with one to four changes."""
    names = list(MUTATIONS)
    for _ in range(chance.randint(1, 4)):
        data = MUTATIONS[chance.choice(names)](data, chance)[:MOST_BYTES]
    return data


def _place(data: bytes, chance: random.Random) -> int:
    return chance.randint(0, len(data))


def _flip(data: bytes, chance: random.Random) -> bytes:
    if not data:
        return data
    n = chance.randrange(len(data))
    return data[:n] + bytes([data[n] ^ 1 << chance.randrange(8)]) + data[n + 1 :]


def _random_bytes(data: bytes, chance: random.Random) -> bytes:
    n = _place(data, chance)
    return data[:n] + chance.randbytes(chance.randint(1, 8)) + data[n + chance.randint(0, 8) :]


def _cut_off(data: bytes, chance: random.Random) -> bytes:
    return data[: _place(data, chance)]


def _lines(change: Callable[[list[bytes], random.Random], None]) -> Mutation:
    def of(data: bytes, chance: random.Random) -> bytes:
        lines = data.split(b"\n")
        change(lines, chance)
        return b"\n".join(lines)

    return of


def _drop_line(lines: list[bytes], chance: random.Random) -> None:
    del lines[chance.randrange(len(lines))]


def _repeat_line(lines: list[bytes], chance: random.Random) -> None:
    lines.insert(chance.randint(0, len(lines)), chance.choice(lines))


def _indent_line(lines: list[bytes], chance: random.Random) -> None:
    n = chance.randrange(len(lines))
    lines[n] = b" " * chance.randint(0, 6) + lines[n].lstrip()


def _put_word(data: bytes, chance: random.Random) -> bytes:
    n = _place(data, chance)
    return data[:n] + chance.choice(WORDS) + data[n:]


def _other_number(data: bytes, chance: random.Random) -> bytes:
    """Put another number in place of one, or of any run of digits."""
    starts = [n for n, c in enumerate(data[:20_000]) if 48 <= c <= 57 and not (n and 48 <= data[n - 1] <= 57)]
    if not starts:
        return data
    n = end = chance.choice(starts)
    while end < len(data) and (48 <= data[end] <= 57 or data[end] in b".eE"):
        end += 1
    return data[:n] + chance.choice(NUMBERS) + data[end:]


def _other_word(data: bytes, chance: random.Random) -> bytes:
    """Put something in place of what stands behind a colon."""
    starts = [n + 1 for n, c in enumerate(data[:20_000]) if c == 58]
    if not starts:
        return data
    n = chance.choice(starts)
    end = min([e for e in (data.find(b"\n", n), data.find(b",", n)) if e >= 0], default=len(data))
    return data[:n] + b" " + chance.choice([*WORDS, *NUMBERS]) + data[end:]


def _nest(data: bytes, chance: random.Random) -> bytes:
    n, deep = _place(data, chance), chance.choice((2, 30, 5000))
    opened, closed = chance.choice(
        ((b"[", b"]"), (b"{a: ", b"}"), (b"- ", b""), (b"{", b"}"), (b"(", b")"), (b"<a>", b"</a>"))
    )
    return data[:n] + opened * deep + closed * chance.choice((deep, 0)) + data[n:]


def _repeat_piece(data: bytes, chance: random.Random) -> bytes:
    n, m = sorted((_place(data, chance), _place(data, chance)))
    return data[:m] + data[n:m] * chance.choice((1, 2, 20)) + data[m:]


def _swap_pieces(data: bytes, chance: random.Random) -> bytes:
    a, b, c = sorted(_place(data, chance) for _ in range(3))
    return data[:a] + data[b:c] + data[a:b] + data[c:]


MUTATIONS: dict[str, Mutation] = {
    "a bit is flipped": _flip,
    "bytes are overwritten": _random_bytes,
    "it is cut off": _cut_off,
    "a line is lost": _lines(_drop_line),
    "a line stands twice": _lines(_repeat_line),
    "a line is indented otherwise": _lines(_indent_line),
    "something is put in": _put_word,
    "a number is another": _other_number,
    "a value is another": _other_word,
    "it is deep": _nest,
    "a piece is repeated": _repeat_piece,
    "pieces are swapped": _swap_pieces,
}


def zipped(members: dict[str, bytes]) -> bytes:
    """Return an archive of ``members``, packed, the same for the same members."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as box:
        for name, content in members.items():
            info = zipfile.ZipInfo(name)
            info.compress_type = zipfile.ZIP_DEFLATED
            box.writestr(info, content)
    return out.getvalue()


def mutated_archive(data: bytes, chance: random.Random) -> bytes:
    """Return a zip archive with a change in one of its files, or in the archive itself."""
    if chance.random() < 0.3:
        return mutated(data, chance)
    with zipfile.ZipFile(io.BytesIO(data)) as box:
        members = {name: box.read(name) for name in box.namelist()}
    name = chance.choice(list(members))
    if chance.random() < 0.1:
        del members[name]
    else:
        members[name] = mutated(members[name], chance)
    return zipped(members)
