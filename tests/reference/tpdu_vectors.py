"""Writes tpdu_vectors.tsv: short messages built field by field after 3GPP TS 23.040 and TS 23.038 (from memory), and what each must decode to.

Packing, addresses, stamps, periods and data coding groups are written here a second time, in another language, from the standard and not from the
codec; the alphabets are PyPI gsmcodecs 1.0.0's. Columns: name, hexadecimal, flaws that a lenient reading names, JSON pointers and their values.

    pip install gsmcodecs==1.0.0
    python tests/reference/tpdu_vectors.py > tests/reference/tpdu_vectors.tsv
"""

import json

import gsmcodecs  # registers the codecs

ROWS = []
NIBBLES = "0123456789*#abc"
TO = (0x91, "254700000101")


def septets(text, lock=0, single=0):
    return list(text.encode(f"gsm23.038-{lock}-{single}"))


def packed(values, fill=0):
    bits, at = 0, fill
    for value in values:
        bits |= value << at
        at += 7
    return bits.to_bytes((at + 7) // 8, "little")


def semi_octets(digits):
    halves = [NIBBLES.index(digit) for digit in digits]
    if len(halves) % 2:
        halves.append(15)
    return bytes(low | high << 4 for low, high in zip(halves[::2], halves[1::2]))


def address(toa, value):
    if toa >> 4 & 7 == 5:
        name = septets(value)
        return bytes([(len(name) * 7 + 3) // 4, toa]) + packed(name)
    return bytes([len(value), toa]) + semi_octets(value)


def stamp(year, month, day, hour, minute, second, quarters):
    def swapped(number):
        return number % 10 << 4 | number // 10

    fields = [swapped(n) for n in (year % 100, month, day, hour, minute, second, abs(quarters))]
    fields[-1] |= 8 if quarters < 0 else 0
    return bytes(fields)


NOON = stamp(2026, 11, 25, 12, 0, 0, 12)


def content(alphabet, text, elements=None, lock=0, single=0):
    header = b""
    if elements is not None:
        inside = b"".join(bytes([iei, len(data)]) + data for iei, data in elements)
        header = bytes([len(inside)]) + inside
    if alphabet == "gsm7":
        values = septets(text, lock, single) if isinstance(text, str) else text
        before = (8 * len(header) + 6) // 7
        return bytes([before + len(values)]) + header + packed(values, 7 * before - 8 * len(header))
    body = text.encode("utf-16-be") if alphabet == "ucs2" else text
    return bytes([len(header) + len(body)]) + header + body


def row(name, octets, expected, flaws=0):
    ROWS.append((name, octets.hex().upper(), str(flaws), json.dumps(expected, ensure_ascii=False)))


def deliver(first=0x04, sender=TO, pid=0, dcs=0, at=NOON, data=b"\0", header=False, smsc=b"\0"):
    return smsc + bytes([first | (0x40 if header else 0)]) + address(*sender) + bytes([pid, dcs]) + at + data


def submit(first=0x01, to=TO, validity=b"", data=b"\0"):
    return b"\0" + bytes([first, 7]) + address(*to) + b"\0\0" + validity + data


def report(first=0x06, status=0, extra=b""):
    return b"\0" + bytes([first, 7]) + address(*TO) + NOON + NOON + bytes([status]) + extra


def codings():
    for dcs in range(256):
        group, low = dcs >> 4, dcs & 15
        alphabet, reserved, compressed, kind, waiting = "gsm7", False, False, None, None
        if group < 8:
            alphabet = ("gsm7", "8bit", "ucs2", "gsm7")[low >> 2]
            reserved = low >> 2 == 3
            compressed = bool(dcs & 0x20)
            kind = dcs & 3 if dcs & 0x10 else None
        elif group < 12:
            reserved = True
        elif group < 15:
            alphabet = "ucs2" if group == 14 else "gsm7"
            what = ("voicemail", "fax", "email", "other")[low & 3]
            waiting = f"{what}: {'waiting' if low & 8 else 'none waiting'}"
        else:
            alphabet = "8bit" if low & 4 else "gsm7"
            kind, reserved = low & 3, bool(low & 8)
        text = {"gsm7": "C4 12.5 [€]", "ucs2": "C4 ወ😀", "8bit": None}[alphabet]
        data = content(alphabet, text or b"\0\xff\x1bA")
        if compressed:
            text, data = None, content("8bit", b"\1\2\3")
        seen = {"/alphabet": alphabet, "/class": kind, "/compressed": compressed, "/message_waiting": waiting, "/text": text}
        row(f"coding {dcs:02X}", deliver(dcs=dcs, data=data), seen, int(reserved))


def statuses():
    for status in range(256):
        word = "given up"
        if status in (0, 2) or 0x10 <= status <= 0x1F:
            word = "delivered"
        elif status == 1:
            word = "forwarded"
        elif 0x20 <= status <= 0x25 or 0x30 <= status <= 0x3F:
            word = "trying"
        elif 0x40 <= status <= 0x49 or 0x50 <= status <= 0x5F:
            word = "failed"
        row(f"status {status:02X}", report(status=status), {"/status": status, "/outcome": word, "/reference": 7})


def addresses():
    for length in range(12):
        name = "ABCDEFGHIJK"[:length]
        row(f"name of {length}", deliver(sender=(0xD0, name)), {"/from/number": name, "/from/type": "alphanumeric"})
    row("name with escapes", deliver(sender=(0xD0, "a€[b]")), {"/from/number": "a€[b]"})
    for length in range(1, 21):
        digits = "12345678901234567890"[:length]
        row(f"{length} digits", deliver(sender=(0xA1, digits)), {"/from/number": digits, "/from/type": "national"})
    row("star and hash", submit(to=(0x81, "*100#abc")), {"/to/number": "*100#abc", "/to/type": "unknown"})
    for digits in ("12345", "12345678901234567890"):
        smsc = bytes([1 + (len(digits) + 1) // 2, 0x91]) + semi_octets(digits)
        row(f"centre {digits}", deliver(smsc=smsc), {"/smsc/number": "+" + digits})


def periods():
    for octet in range(256):
        minutes = (octet + 1) * 5
        if octet > 143:
            minutes = 720 + (octet - 143) * 30
        if octet > 167:
            minutes = (octet - 166) * 1440
        if octet > 196:
            minutes = (octet - 192) * 10080
        row(f"period {octet}", submit(0x11, validity=bytes([octet])), {"/validity/minutes": minutes})
    absolute = stamp(2026, 12, 31, 23, 59, 59, -38)
    row("until", submit(0x19, validity=absolute), {"/validity/until": "2026-12-31T23:59:59-09:30"})
    for name, octets, seconds in (
        ("none", "00", None), ("relative", "01AA", 345600), ("seconds", "025A", 90), ("clock", "03214365", 45296), ("reserved", "07", None),
    ):
        seven = bytes.fromhex(octets.ljust(14, "0"))
        row(f"enhanced {name}", submit(0x09, validity=seven), {"/validity/format": "enhanced", "/validity/seconds": seconds})


def headers():
    text = "C4 12.5 {€}"
    for octets in range(15):
        data = content("gsm7", text, [(0x60, bytes(octets))])
        row(f"fill after {octets + 3}", deliver(header=True, data=data), {"/text": text, "/udh/0/iei": 0x60})
    for total, part in ((1, 1), (3, 1), (255, 255)):
        eight = content("gsm7", text, [(0, bytes([23, total, part]))])
        seen = {"/concatenation/reference": 23, "/concatenation/total": total, "/concatenation/part": part, "/text": text}
        row(f"part {part} of {total}, 8 bits", deliver(header=True, data=eight), seen)
        sixteen = content("ucs2", "ሀ😀", [(8, bytes([1, 23, total, part]))])
        seen = {"/concatenation/reference": 279, "/concatenation/bits": 16, "/text": "ሀ😀"}
        row(f"part {part} of {total}, 16 bits", deliver(header=True, dcs=8, data=sixteen), seen)
    for total, part in ((0, 0), (0, 1), (2, 0), (2, 3)):
        data = content("gsm7", text, [(0, bytes([1, total, part]))])
        row(f"no part {part} of {total}", deliver(header=True, data=data), {"/concatenation": None, "/text": text}, 1)
    ports = [(0, b"\x09\2\1"), (5, bytes.fromhex("0B8423F0"))]
    seen = {"/ports/destination": 2948, "/ports/source": 9200, "/concatenation/reference": 9, "/data": "0102"}
    row("ports beside a part", deliver(header=True, dcs=4, data=content("8bit", b"\1\2", ports)), seen)
    locking = {
        1: "ıĞğŞş€", 3: "ÓÁáçãõ∞", 4: "কখগ", 5: "કખગ", 6: "कखग", 7: "ಕಖಗ", 8: "കഖഗ", 9: "କଖଗ", 10: "ਕਖਗ", 11: "கஙச", 12: "కఖగ", 13: "اآب",
    }
    single = {
        1: "şİğĞ ç", 2: "ÁÍÓÚáíóúç", 3: "ãõçâÊ", 4: "০১", 5: "૦૧", 6: "०१", 7: "೦೧", 8: "൦൧", 9: "୦୧", 10: "੦੧", 11: "௦௧", 12: "౦౧", 13: "۰۱",
    }
    for language, text in single.items():
        data = content("gsm7", text, [(0x24, bytes([language]))], 0, language)
        row(f"single shift {language}", deliver(header=True, data=data), {"/text": text})
    for language, text in locking.items():
        data = content("gsm7", text, [(0x25, bytes([language]))], language, 0)
        row(f"locking shift {language}", deliver(header=True, data=data), {"/text": text})
    for element in ((0x25, b"\2"), (0x25, b"\x0e"), (0x24, b"\x63")):
        data = content("gsm7", "C4 12.5", [element])
        row(f"no table {element[0]:02X} {element[1][0]}", deliver(header=True, data=data), {"/text": "C4 12.5"}, 1)


def stamps():
    for quarters in (-79, -48, -38, -1, 0, 1, 12, 22, 23, 56, 79):
        sign, away = "-" if quarters < 0 else "+", abs(quarters)
        local = f"2028-02-29T23:59:59{sign}{away // 4:02}:{away % 4 * 15:02}"
        row(f"zone {quarters}", deliver(at=stamp(2028, 2, 29, 23, 59, 59, quarters)), {"/timestamp/local": local})
    for octets in ("FFFFFFFFFFFFFF", "00000000000000", "62315290344221", "62200390344221", "6A1152903442A1", "62209290344221"):
        row(f"no time {octets}", deliver(at=bytes.fromhex(octets)), {"/timestamp/local": None, "/timestamp/octets": octets}, 1)


def reports():
    for name, octets, seen in (
        ("nothing", b"\0", {"/has_extra": True}), ("identifier", b"\1\x40", {"/pid": 0x40}), ("coding", b"\2\x08", {"/dcs": 8}),
        ("text", b"\4" + content("gsm7", "habari"), {"/text": "habari"}),
        ("all", b"\7\0\x08" + content("ucs2", "ሀ"), {"/text": "ሀ", "/pid": 0}),
    ):
        row(f"report with {name}", report(extra=octets), seen)
    headed = b"\7\0\0" + content("gsm7", "habari", [(0, bytes([1, 2, 1]))])
    row("report with a part", report(0x46, extra=headed), {"/text": "habari", "/concatenation/part": 1})


def flags():
    for first, name, value in ((0x00, "more_to_come", True), (0x0C, "loop_prevention", True), (0x24, "status_report", True), (0x84, "reply_path", True)):
        row(f"delivery {first:02X}", deliver(first), {f"/{name}": value})
    for first, name in ((0x05, "reject_duplicates"), (0x21, "status_report"), (0x81, "reply_path")):
        row(f"submission {first:02X}", submit(first), {f"/{name}": True})
    for first, name in ((0x26, "of_command"), (0x0E, "loop_prevention"), (0x02, "more_to_come")):
        row(f"report {first:02X}", report(first), {f"/{name}": True})
    for length in range(161):
        text = ("@" * length)[: length - 1] + "é" if length else ""
        if length < 18 or length > 150:
            row(f"{length} septets", deliver(data=content("gsm7", text)), {"/text": text})


for build in (codings, statuses, addresses, periods, headers, stamps, reports, flags):
    build()
print("name\thex\tflaws\tseen")
for fields in ROWS:
    print("\t".join(fields))
