"""H.264 of field pictures, written bit by bit, since no encoder at hand makes any: each frame is two
pictures, a field each, that come in packets of their own (ITU-T H.264, 7.3 and 7.4)."""
import random

WIDTH_MB, FIELD_MB = 10, 4  # 160 x 128 in frames, 160 x 64 in fields
MACROBLOCKS = WIDTH_MB * FIELD_MB
PCM = 25  # mb_type of an I slice: 384 samples as they are
TOP, BOTTOM = 0, 1


class Bits:
    def __init__(self):
        self.text = []

    def u(self, value, width):
        self.text.append(format(value, f"0{width}b"))
        return self

    def ue(self, value):
        code = format(value + 1, "b")
        self.text.append("0" * (len(code) - 1) + code)
        return self

    def align(self):
        self.u(0, -sum(map(len, self.text)) % 8) if sum(map(len, self.text)) % 8 else None
        self.text = ["".join(self.text)]
        return self

    def bytes(self, data):
        self.text.append("".join(format(byte, "08b") for byte in data))
        return self

    def unit(self, header):
        """The NAL unit, with its trailing bit and without start codes inside (7.3.1, 7.4.1)."""
        self.u(1, 1).align()
        text = "".join(self.text)
        payload, zeros = bytearray(), 0
        for at in range(0, len(text), 8):
            byte = int(text[at:at + 8], 2)
            if zeros >= 2 and byte <= 3:
                payload.append(3)
                zeros = 0
            payload.append(byte)
            zeros = zeros + 1 if byte == 0 else 0
        return b"\0\0\0\1" + bytes([header]) + bytes(payload)


def parameters():
    sequence = Bits().u(77, 8).u(0, 8).u(30, 8).ue(0).ue(0).ue(2).ue(1).u(0, 1)
    sequence.ue(WIDTH_MB - 1).ue(FIELD_MB - 1).u(0, 1).u(0, 1).u(1, 1).u(0, 1).u(0, 1)
    picture = Bits().ue(0).ue(0).u(0, 1).u(0, 1).ue(0).ue(0).ue(0).u(0, 1).u(0, 2)
    picture.ue(0).ue(0).ue(0).u(1, 1).u(0, 1).u(0, 1)  # se(0) is written as ue(0)
    return sequence.unit(0x67) + picture.unit(0x68)


def header(slice_type, frame_number, parity, key):
    bits = Bits().ue(0).ue(slice_type).ue(0).u(frame_number % 16, 4).u(1, 1).u(parity, 1)
    if key:
        bits.ue(0)
    if slice_type == 5:
        bits.u(0, 1).u(0, 1)  # as many references as usual, in the usual order
    bits.u(0, 2) if key else bits.u(0, 1)
    return bits.ue(0).ue(1)


def intra_field(frame_number, parity, key, dice):
    bits = header(7, frame_number, parity, key)
    for _ in range(MACROBLOCKS):
        base = dice.randrange(20, 200)
        bits.ue(PCM).align().bytes(bytes(base + dice.randrange(30) for _ in range(384)))
    return bits.unit(0x65 if key else 0x61)


def copied_field(frame_number, parity):
    """All skipped: the same as the field that it refers to."""
    return header(5, frame_number, parity, False).ue(MACROBLOCKS).unit(0x61)


def stream(frames, group, seed):
    """Fields of both kinds in turn; each group begins with a key field and one that refers to it."""
    dice = random.Random(seed)
    units = []
    for n in range(frames):
        number = n % group
        if number == 0:
            units += [parameters(), intra_field(0, TOP, True, dice), copied_field(0, BOTTOM)]
        elif n % 3 == 1:
            units += [copied_field(number, TOP), intra_field(number, BOTTOM, False, dice)]
        else:
            units += [intra_field(number, TOP, False, dice), intra_field(number, BOTTOM, False, dice)]
    return b"".join(units)
