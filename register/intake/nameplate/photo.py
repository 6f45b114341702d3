"""The text on a picture, by the extra `photo`; nothing leaves the computer."""

from __future__ import annotations

import hashlib
import importlib.util
import io
import os
from pathlib import Path
from typing import Any

from register.errors import Problem, StartrollError
from register.intake.nameplate.model import Photograph, TextLine

NEEDED = ("rapidocr", "onnxruntime", "PIL")
MODELS = {"Det": "*det*.onnx", "Cls": "*cls*.onnx", "Rec": "*rec*.onnx"}
MOST_PIXELS = 100_000_000


def read_photograph(path: Path) -> Photograph:
    """The picture's text, each piece with its corners; what the reader thinks of its own reading is left behind.

    Raises StartrollError where the extra is not installed, or the file is no picture.
    """
    if any(importlib.util.find_spec(name) is None for name in NEEDED):
        raise StartrollError(
            Problem("reading photographs needs an extra", "install it: pip install 'startroll[photo]'", str(path))
        )
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise StartrollError(
            Problem(f"cannot be read: {error.strerror or error}", "name a picture", str(path))
        ) from None
    picture = _pixels(raw, path)
    lines = _text(picture)
    return Photograph(path.name, hashlib.sha256(raw).hexdigest(), picture.shape[1], picture.shape[0], lines)


def _pixels(raw: bytes, path: Path) -> Any:
    import numpy as np
    from PIL import Image, ImageOps

    try:
        with Image.open(io.BytesIO(raw)) as image:
            if image.width * image.height > MOST_PIXELS:
                raise ValueError("too many pixels")
            upright = ImageOps.exif_transpose(image) or image
            return np.asarray(upright.convert("RGB"))[:, :, ::-1].copy()
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        raise StartrollError(
            Problem(
                "is not a picture that can be read", "save the photograph as JPEG or PNG, at most 100 Mpx", str(path)
            )
        ) from None


def _text(picture: Any) -> tuple[TextLine, ...]:
    read = _reader()(picture)
    if read.txts is None or read.boxes is None:
        return ()
    return tuple(
        TextLine(text, tuple((float(x), float(y)) for x, y in corners))  # type: ignore[arg-type]
        for text, corners in zip(read.txts, read.boxes, strict=True)
    )


_kept: list[Any] = []


def _reader() -> Any:
    """The reader, with the weights that lie in its package: named, so that none is ever fetched."""
    if not _kept:
        found = importlib.util.find_spec("rapidocr")
        folder = Path(str(found.origin if found else "")).parent / "models"
        paths = {part: next(iter(sorted(folder.glob(pattern))), None) for part, pattern in MODELS.items()}
        if None in paths.values():
            raise StartrollError(
                Problem("rapidocr came without its weights", "pip install --force-reinstall 'rapidocr>=3.10'")
            )
        os.environ.setdefault("ORT_LOGGING_LEVEL", "3")
        from rapidocr import RapidOCR

        settings: dict[str, Any] = {f"{part}.model_path": str(place) for part, place in paths.items()}
        _kept.append(RapidOCR(params=settings | {"Global.log_level": "critical"}))
    return _kept[0]
