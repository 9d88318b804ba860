"""Padding pictures to steps of 16 KiB, so that their length on the wire tells nothing of them.

JPEG (ITU-T T.81): decoders stop at the end-of-image marker, what follows it is not read. WebP
(RFC 9649, section 2.7): an extended file may end in chunks of an unknown name, which readers skip;
a simple file is made an extended one first.
"""

import struct

STEP = 16 * 1024
CHUNK_HEAD = 8


def padded(data: bytes) -> bytes:
    """Return the same picture, longer: the length is a whole multiple of 16 KiB."""
    return _padded_webp(data) if data[:4] == b"RIFF" else _padded_jpeg(data)


def _padded_jpeg(data: bytes) -> bytes:
    return data + bytes(-len(data) % STEP)


def _padded_webp(data: bytes) -> bytes:
    body = _extended(data)
    if len(body) % STEP:
        free = (-len(body) - CHUNK_HEAD) % STEP
        body += b"JUNK" + struct.pack("<I", free) + bytes(free)
    return body[:4] + struct.pack("<I", len(body) - CHUNK_HEAD) + body[8:]


def _extended(data: bytes) -> bytes:
    """Return a WebP file with a VP8X head; one that has it already comes back as it is."""
    name = data[12:16]
    if name == b"VP8X":
        return data
    width, height, alpha = _webp_size(data)
    head = struct.pack(
        "<4sIB3x3s3s",
        b"VP8X",
        10,
        0x10 if alpha else 0,
        (width - 1).to_bytes(3, "little"),
        (height - 1).to_bytes(3, "little"),
    )
    return data[:12] + head + data[12:]


def _webp_size(data: bytes) -> tuple[int, int, bool]:
    if data[12:16] == b"VP8L":
        (bits,) = struct.unpack_from("<I", data, 21)
        return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1, bool(bits >> 28 & 1)
    width, height = struct.unpack_from("<HH", data, 26)
    return width & 0x3FFF, height & 0x3FFF, False
