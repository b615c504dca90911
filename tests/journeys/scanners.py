"""What stands in for scanners: a hand scanner that types at its own pace, and a camera before a turning label."""

from pathlib import Path
from time import time

from tests.factories.label_photos import as_bytes, on_bench, printed


class HandScanner:
    """Types as a keyboard does; each key carries its own time, so a busy machine blurs no pace."""

    def __init__(self, page):
        self.session = page.context.new_cdp_session(page)

    def type(self, text: str, *, gap_ms: float = 12, end: str = "Enter") -> None:
        """Type a text with so many ms from key to key, and the key that ends it, if any."""
        at = time()
        for sign in text:
            self.press(sign, at, text=sign)
            at += gap_ms / 1000
        if end:
            self.press(end, at, text="\r" if end == "Enter" else "")

    def press(self, key: str, at: float, text: str = "") -> None:
        """Press and let go a key at a time."""
        number = {"Enter": 13, "Tab": 9}.get(key, 0)
        told = {"key": key, "windowsVirtualKeyCode": number}
        down = {"type": "keyDown" if text else "rawKeyDown", "text": text, "timestamp": at}
        self.session.send("Input.dispatchKeyEvent", told | down)
        self.session.send("Input.dispatchKeyEvent", told | {"type": "keyUp", "timestamp": at})


def turning_label(path: Path, *codes: str) -> Path:
    """Write a film of labels that turn once around, as the file of a fake camera."""
    labels = [printed(code) for code in codes]
    frames = [on_bench(*labels, size=(640, 480), turn=turn, wide=330) for turn in range(0, 360, 15)]
    path.write_bytes(b"".join(as_bytes(frame, quality=90) for frame in frames))
    return path
