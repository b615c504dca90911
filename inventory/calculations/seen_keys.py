"""Which keys were met already, a bit for each: a million of them in 125 kB."""

BITS = 8


class SeenKeys:
    """Primary keys that were met; none is below 0.

    >>> seen = SeenKeys()
    >>> seen.is_new(70), seen.is_new(3), seen.is_new(70)
    (True, True, False)
    """

    def __init__(self):
        self.octets = bytearray()

    def is_new(self, key: int) -> bool:
        """Return whether a key is met for the first time, and remember it."""
        place, bit = key // BITS, 1 << key % BITS
        if place >= len(self.octets):
            self.octets.extend(bytes(place + 1 - len(self.octets)))
        is_new = not self.octets[place] & bit
        self.octets[place] |= bit
        return is_new
