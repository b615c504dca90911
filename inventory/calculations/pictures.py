"""How much work a picture makes before anybody has looked at it.

A JPEG is unpacked once for each of its scans (ITU-T T.81, G.1: progressive coding sends the picture
in scans, each over all of it), and a scan may be a few bytes long: a file of 200 kB with a thousand
scans of 49 million pixels took two minutes.
"""

MOST_WORK = 500_000_000  # pixels, about two seconds
START_OF_SCAN = b"\xff\xda"


def unpacking_work(photo: bytes, pixels: int) -> int:
    """Return how many pixels are unpacked to read a JPEG: all of them, once for each scan.

    >>> unpacking_work(b"\\xff\\xda..\\xff\\xda..", 1000)
    2000
    """
    return pixels * max(1, photo.count(START_OF_SCAN))
