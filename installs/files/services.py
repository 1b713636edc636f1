"""Taking in files: bounded, looked at, named by content hash."""

from __future__ import annotations

import io
import struct
import threading
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import IO, Any

from django.conf import settings
from django.core.exceptions import ValidationError
from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

from installs.files.keeping import keep
from installs.files.models import Sending, StoredFile
from installs.people.models import User

PHOTO_LONG_SIDE_PX = 1600
MARK_LONG_SIDE_PX = 480
# Of a picture that is opened: 24-megapixel cameras make up to 6048 x 4032. As PNG that is about 0.2 GB open.
MOST_PIXELS = 25_000_000
TOO_MANY_PIXELS = f"The picture is larger than {MOST_PIXELS // 1_000_000} megapixels: send a smaller one."
# what the decoders raise at bytes that are not a whole picture
UNREADABLE = (
    UnidentifiedImageError, OSError, SyntaxError, ValueError, TypeError, KeyError, IndexError, EOFError,
    OverflowError, ArithmeticError, struct.error, zlib.error,
)  # fmt: skip
_ONE_READER = threading.Lock()


def store_bytes(
    content: bytes, content_type: str, label: str, *, by: User | None, at: datetime
) -> StoredFile:
    """The file of these bytes, whole on the disk before anything names it; one however often it is sent.

    Sent again it mends what was spoiled meanwhile. OSError where the storage does not take it.
    """
    digest = keep(content)
    kept, _ = StoredFile.objects.get_or_create(
        sha256=digest,
        defaults={
            "size_bytes": len(content),
            "content_type": content_type,
            "label": label[:160],
            "stored_by": by,
            "stored_at": at,
        },
    )
    if by is not None and kept.stored_by_id != by.pk:
        Sending.objects.get_or_create(file=kept, person=by)
    return kept


def bounded(upload: Any) -> bytes:
    """The bytes of an upload; ValidationError when empty or over the limit, before all is read."""
    limit = settings.UPLOAD_LIMIT_BYTES
    if upload.size is not None and upload.size > limit:
        raise ValidationError(
            f"The file is {upload.size / 1e6:.0f} MB; at most {limit / 1e6:.0f} MB is taken."
        )
    content: bytes = upload.read(limit + 1)
    if len(content) > limit:
        raise ValidationError(f"The file is over {limit / 1e6:.0f} MB.")
    if not content:
        raise ValidationError("The file is empty.")
    return content


@contextmanager
def whole_pictures_only() -> Iterator[None]:
    """Half a picture is none, whatever else this process has loaded.

    The PDF engine tells the picture library, for the whole process, to make do with half a picture. The
    switch is the process's, not a picture's: one thread at a time turns it and reads its picture.
    """
    with _ONE_READER:
        before = ImageFile.LOAD_TRUNCATED_IMAGES
        ImageFile.LOAD_TRUNCATED_IMAGES = False
        try:
            yield
        finally:
            ImageFile.LOAD_TRUNCATED_IMAGES = before


def store_photo(upload: IO[bytes], *, by: User, at: datetime) -> StoredFile:
    """A photo re-encoded as JPEG: whatever is not a picture is refused, hidden data is dropped."""
    return _store_picture(upload, PHOTO_LONG_SIDE_PX, by=by, at=at)


def store_mark(upload: IO[bytes], *, by: User, at: datetime) -> StoredFile:
    """A firm's mark, small enough to be frozen into every packet; what is clear in it is white as paper."""
    return _store_picture(upload, MARK_LONG_SIDE_PX, by=by, at=at)


def _store_picture(upload: IO[bytes], most_px: int, *, by: User, at: datetime) -> StoredFile:
    content = bounded(upload)
    try:
        with whole_pictures_only():
            picture: Image.Image = Image.open(io.BytesIO(content), formats=["JPEG", "PNG", "WEBP"])
            if picture.width * picture.height > MOST_PIXELS:
                raise ValidationError(TOO_MANY_PIXELS)
            # made small while it is decoded, and only then turned: a JPEG is never open in its full size
            picture.thumbnail((most_px, most_px))
            # phones turn a picture by a note beside it, which is dropped below
            picture = ImageOps.exif_transpose(picture)
            plain = _on_white(picture)
            plain.info.clear()  # a comment would be written along
            encoded = io.BytesIO()
            plain.save(encoded, "JPEG", quality=85)
    except (Image.DecompressionBombWarning, Image.DecompressionBombError) as error:
        raise ValidationError(TOO_MANY_PIXELS) from error
    except UNREADABLE as error:
        raise ValidationError("This is not a picture that can be read (JPEG, PNG or WebP).") from error
    return store_bytes(encoded.getvalue(), "image/jpeg", getattr(upload, "name", "photo"), by=by, at=at)


def _on_white(picture: Image.Image) -> Image.Image:
    """A JPEG has no clear places; left alone they would come out black."""
    if not picture.has_transparency_data:
        return picture.convert("RGB")
    ground = Image.new("RGBA", picture.size, "white")
    ground.alpha_composite(picture.convert("RGBA"))
    return ground.convert("RGB")


def store_pdf(upload: IO[bytes], *, by: User, at: datetime) -> StoredFile:
    """A PDF as it was sent; readers look for its end mark in the last 1024 bytes (ISO 32000-1, annex H)."""
    content = bounded(upload)
    if not content.startswith(b"%PDF-"):
        raise ValidationError("This is not a PDF.")
    if b"%%EOF" not in content[-1024:]:
        raise ValidationError("This PDF is cut off: its end is missing. Send it again.")
    return store_bytes(content, "application/pdf", getattr(upload, "name", "paper.pdf"), by=by, at=at)


def refuse_unbindable(upload: Any) -> None:
    """ValidationError for a PDF that cannot be bound into a paper: locked, damaged, or without a page."""
    if upload is None:
        return
    content = bounded(upload)
    upload.seek(0)
    if content.startswith(b"%PDF-"):
        pages_of(content)


def pages_of(content: bytes) -> int:
    """How many pages a PDF has; ValidationError for one that cannot be bound."""
    from pypdf import PdfReader
    from pypdf.errors import PyPdfError

    try:
        reader = PdfReader(io.BytesIO(content))
        if reader.is_encrypted:
            raise ValidationError("This PDF is locked by a password; attach one that is not.")
        pages = len(reader.pages)
    except (PyPdfError, ValueError, KeyError, TypeError, IndexError, AttributeError, RecursionError) as error:
        raise ValidationError("This PDF cannot be read; it may be damaged.") from error
    if pages == 0:
        raise ValidationError("This PDF has no page.")
    return pages


def store_paper(upload: Any, *, by: User, at: datetime) -> StoredFile:
    """A PDF as it is, or a photo re-encoded; ValidationError for anything else."""
    head = bounded(upload)[:5]
    upload.seek(0)
    return store_pdf(upload, by=by, at=at) if head == b"%PDF-" else store_photo(upload, by=by, at=at)
