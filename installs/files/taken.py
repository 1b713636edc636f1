"""When and where a photo was taken, as its file says; read before the picture is kept without it.

Tags of Exif: DateTimeOriginal, OffsetTimeOriginal, and latitude and longitude with their letters in the
GPS block. ``static/installs/photo.js`` reads the same on the phone.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from datetime import datetime
from typing import Any

from PIL import ExifTags, Image, TiffImagePlugin

from installs.files.services import UNREADABLE, bounded, whole_pictures_only

YEARS = range(1970, 2200)


class SpoiledBlock(Exception):
    """The file's notes on the photo cannot be read to their end."""


class _Refusing:
    """Stands for the library's ``warnings`` while it reads a block."""

    @staticmethod
    def warn(message: object, *args: object, **kwargs: object) -> None:
        raise SpoiledBlock(message)


@contextmanager
def whole_blocks_only() -> Iterator[None]:
    """A spoiled block is not half believed: the library warns of it, reads on and gives what it has.

    Python's own filters of warnings are the whole process's, so that turning them into errors here would
    be felt by every other thread. Where the library reads blocks only it and we look; call this inside
    ``whole_pictures_only``, which lets one thread in.
    """
    module: Any = TiffImagePlugin  # a name that it imports for itself
    before = module.warnings
    module.warnings = _Refusing
    try:
        yield
    finally:
        module.warnings = before


def taken(upload: Any) -> dict[str, Any]:
    """``photo_taken_at``, ``photo_lat`` and ``photo_lon`` where the file gives them; never an error.

    The time is ISO with the camera's offset; without one it is the camera's own clock, as it is written.
    """
    content = bounded(upload)
    upload.seek(0)
    try:
        with whole_pictures_only(), whole_blocks_only():
            exif = Image.open(io.BytesIO(content), formats=["JPEG", "PNG", "WEBP"]).getexif()
            shot, place = exif.get_ifd(ExifTags.IFD.Exif), exif.get_ifd(ExifTags.IFD.GPSInfo)
    except (*UNREADABLE, SpoiledBlock, Image.DecompressionBombWarning, Image.DecompressionBombError):
        return {}
    return {**_time(shot), **_place(place)}


def _time(shot: Mapping[int, Any]) -> dict[str, str]:
    written = _words(shot.get(ExifTags.Base.DateTimeOriginal))
    offset = _words(shot.get(ExifTags.Base.OffsetTimeOriginal) or shot.get(ExifTags.Base.OffsetTime))
    try:
        at = datetime.strptime(written, "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return {}
    if at.year not in YEARS:
        return {}
    with suppress(ValueError):  # an offset that cannot be read is none
        at = datetime.strptime(f"{written} {offset}", "%Y:%m:%d %H:%M:%S %z")
    return {"photo_taken_at": at.isoformat()}


def _words(value: Any) -> str:
    return value.strip("\0 ") if isinstance(value, str) else ""


def _place(place: Mapping[int, Any]) -> dict[str, float]:
    """Both or none: half a place is no place."""
    lat = _degrees(place.get(ExifTags.GPS.GPSLatitude), place.get(ExifTags.GPS.GPSLatitudeRef), "NS", 90)
    lon = _degrees(place.get(ExifTags.GPS.GPSLongitude), place.get(ExifTags.GPS.GPSLongitudeRef), "EW", 180)
    return {} if lat is None or lon is None else {"photo_lat": lat, "photo_lon": lon}


def _degrees(parts: Any, letter: Any, letters: str, most: float) -> float | None:
    """Degrees, minutes and seconds with their letter as degrees, south and west negative."""
    side = _words(letter).upper()
    if side not in tuple(letters) or not isinstance(parts, tuple) or len(parts) != 3:
        return None
    try:
        degrees, minutes, seconds = map(float, parts)
    except (TypeError, ValueError, ArithmeticError):
        return None
    value = degrees + minutes / 60 + seconds / 3600
    if not math.isfinite(value) or min(degrees, minutes, seconds) < 0 or value > most:
        return None
    return round(-value if side == letters[1] else value, 6)
