"""What happens to files: bits, cuts, and the boxes that containers are built of; to texts, words and lines.

Each mutation takes the bytes and a random.Random and gives other bytes."""
import re
import struct

MOV_FOLDERS = {b"moov", b"trak", b"mdia", b"minf", b"stbl", b"edts", b"dinf", b"mvex", b"moof", b"traf", b"udta"}
NUMBERS = [0, 1, 2, 3, 7, 8, 0x7F, 0x80, 0xFF, 0x100, 0x7FFF, 0x8000, 0xFFFF, 0x10000, 0x7FFFFFFF, 0x80000000,
           0xFFFFFFFE, 0xFFFFFFFF]
LARGE = 4_000_000


def mov_boxes(data, start=0, end=None):
    """(offset, length) of all boxes, the inner ones too: ISO/IEC 14496-12, 4.2."""
    end = len(data) if end is None else end
    found = []
    while start + 8 <= end:
        length, kind = struct.unpack(">I4s", data[start:start + 8])
        if length < 8 or start + length > end:
            break
        found.append((start, length))
        if kind in MOV_FOLDERS:
            found += mov_boxes(data, start + 8, start + length)
        start += length
    return found


def riff_chunks(data, start=0, end=None):
    end = len(data) if end is None else end
    found = []
    while start + 8 <= end:
        kind, length = struct.unpack("<4sI", data[start:start + 8])
        length = min(length + length % 2, end - start - 8)
        found.append((start, length + 8))
        if kind in (b"RIFF", b"LIST"):
            found += riff_chunks(data, start + 12, start + 8 + length)
        start += length + 8
    return found


def vint(data, at, keep_marker):
    """RFC 8794, 4: (value, bytes), or None."""
    if at >= len(data) or data[at] == 0:
        return None
    width = 9 - data[at].bit_length()
    if at + width > len(data):
        return None
    value = int.from_bytes(data[at:at + width], "big")
    return (value if keep_marker else value & ((1 << 7 * width) - 1)), width


EBML_FOLDERS = {0x1A45DFA3, 0x18538067, 0x1549A966, 0x1654AE6B, 0xAE, 0xE0, 0xE1, 0x1F43B675, 0x1C53BB6B, 0xBB, 0xB7,
                0x114D9B74, 0x4DBB, 0xA0, 0x55B0}


def ebml_elements(data, start=0, end=None):
    end = len(data) if end is None else end
    found = []
    while start < end:
        name = vint(data, start, True)
        size = name and vint(data, start + name[1], False)
        if not size:
            break
        head = name[1] + size[1]
        length = min(size[0], end - start - head)
        found.append((start, head + length))
        if name[0] in EBML_FOLDERS:
            found += ebml_elements(data, start + head, start + head + length)
        start += head + length
    return found


def boxes(data):
    if data[:4] == b"RIFF":
        return riff_chunks(data)
    if data[:4] == b"\x1a\x45\xdf\xa3":
        return ebml_elements(data)
    if data[:1] == b"\x47":
        return [(at, 188) for at in range(0, len(data) - 187, 188)]
    return mov_boxes(data)


def flip_bits(data, dice):
    out = bytearray(data)
    for _ in range(dice.choice([1, 2, 5, 20, 100])):
        out[dice.randrange(len(out))] ^= 1 << dice.randrange(8)
    return bytes(out)


def flip_head(data, dice):
    """Where most of what tells how to read the rest lies, or in the tail."""
    out = bytearray(data)
    span = min(len(out), dice.choice([64, 512, 2048]))
    start = dice.choice([0, len(out) - span])
    for _ in range(dice.choice([1, 3, 10])):
        out[start + dice.randrange(span)] = dice.randrange(256)
    return bytes(out)


def set_number(data, dice):
    width, order = dice.choice([1, 2, 4, 8]), dice.choice(["big", "little"])
    if len(data) < width:
        return data
    box = dice.choice(boxes(data) or [(0, len(data))])
    at = dice.choice([dice.randrange(len(data) - width + 1), min(box[0] + dice.randrange(64), len(data) - width)])
    value = dice.choice(NUMBERS) & ((1 << 8 * width) - 1)
    return data[:at] + value.to_bytes(width, order) + data[at + width:]


def cut_end(data, dice):
    return data[:dice.randrange(1, len(data) + 1)]


def cut_middle(data, dice):
    start = dice.randrange(len(data))
    return data[:start] + data[start + dice.choice([1, 2, 188, dice.randrange(1, 5000)]):]


def blank(data, dice):
    start = dice.randrange(len(data))
    length = min(len(data) - start, dice.randrange(1, 4000))
    filling = dice.choice([bytes(length), b"\xff" * length, dice.randbytes(length)])
    return data[:start] + filling + data[start + length:]


def two_boxes(data, dice):
    found = boxes(data)
    return sorted(dice.sample(found, 2)) if len(found) > 1 else [(0, 0), (0, len(data))]


def swap_boxes(data, dice):
    (a, n), (b, m) = two_boxes(data, dice)
    if a + n > b:
        return double_box(data, dice)
    return data[:a] + data[b:b + m] + data[a + n:b] + data[a:a + n] + data[b + m:]


def drop_box(data, dice):
    at, length = dice.choice(boxes(data) or [(0, 0)])
    return data[:at] + data[at + length:] or data


def double_box(data, dice):
    at, length = dice.choice(boxes(data) or [(0, 0)])
    times = dice.choice([1, 1, 2, 30])
    to = dice.choice([at, at + length, 0, len(data)])
    return data[:to] + data[at:at + length] * times + data[to:]


def nest_box(data, dice):
    """A copy of one inside another, whose length grows or does not."""
    (a, n), (b, m) = two_boxes(data, dice)
    into = min(b + 8, b + m)
    return data[:into] + data[a:a + n] + data[into:]


def resize_box(data, dice):
    at, length = dice.choice(boxes(data) or [(0, 8)])
    value = dice.choice(NUMBERS + [length - 1, length + 1, length * 2, max(length - 8, 0)]) & 0xFFFFFFFF
    if data[:4] == b"\x1a\x45\xdf\xa3":
        name = vint(data, at, True)
        at += name[1] if name else 1
        return data[:at] + bytes([dice.randrange(256)]) + data[at + 1:]
    little = data[:4] == b"RIFF"
    at += 4 if little else 0
    return data[:at] + value.to_bytes(4, "little" if little else "big") + data[at + 4:]


MUTATIONS = [flip_bits, flip_bits, flip_head, flip_head, set_number, set_number, set_number, cut_end, cut_middle,
             blank, swap_boxes, drop_box, double_box, nest_box, resize_box, resize_box]


def mutate(data, dice):
    for _ in range(dice.choice([1, 1, 1, 2, 3, 6])):
        data = dice.choice(MUTATIONS)(data, dice)[:LARGE] or b"\0"
    return data


# --- texts -----------------------------------------------------------------------------------------------------------

WORDS = [b'"', b'""', b",", b";", b"\t", b"\r\n", b"\n", b"\r", b"\0", b"\xef\xbb\xbf", b"\xff\xfe", b"\xc2\xa0", b"sep=;\n",
         b"-1", b"0", b"1e9", b"1e400", b"-0.0", b"nan", b"4294967296", b"9007199254740993", b"0x10", b"1,5", b"31/12/99",
         b"2027-02-29", b"km/h", b"mph", b"null", b"true", b"[]", b"{}", b"[", b"}", b"\\u0000", b"\\ud800", b"a" * 70]


def pieces(text):
    """Words, numbers and the signs between them."""
    return re.findall(rb"[A-Za-z_]+|[-+.0-9]+|\r\n|.", text, re.S)


def text_mutation(seeds):
    """What is put in comes from the seeds themselves, or from WORDS."""
    known = sorted({piece for seed in seeds for piece in pieces(seed)}) + WORDS * 3

    def change(text, dice):
        parts = pieces(text) or [b""]
        at = dice.randrange(len(parts))
        kind = dice.randrange(6)
        if kind == 0:
            parts[at] = dice.choice(known)
        elif kind == 1:
            parts.insert(at, dice.choice(known))
        elif kind == 2:
            del parts[at:at + dice.choice([1, 2, 7])]
        elif kind == 3:
            to = dice.randrange(len(parts))
            parts[at], parts[to] = parts[to], parts[at]
        elif kind == 4:
            lines = text.splitlines(keepends=True)
            lines.insert(dice.randrange(len(lines) + 1), dice.choice(lines or [b"\n"]) * dice.choice([1, 2, 30]))
            return b"".join(lines)
        else:
            return dice.choice([flip_bits, cut_end, cut_middle])(text or b"\n", dice)
        return b"".join(parts)

    def mutate_text(text, dice):
        for _ in range(dice.choice([1, 1, 2, 3, 8])):
            text = change(text, dice)[:LARGE] or b"\n"
        return text

    return mutate_text
