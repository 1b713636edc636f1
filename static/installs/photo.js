// A photo made small enough to send, a megabyte at most, and when and where it was taken, as its file says: that is
// read before the picture is made small, which drops it.
// The Exif segment of a JPEG holds a TIFF: a first block of tags that names the Exif and the GPS block.
const Photo = (() => {
  const HEAD = 262_144; // the segment stands before the picture and is at most 64 KB
  const SOI = 0xffd8,
    SOS = 0xffda,
    APP1 = 0xffe1,
    EXIF = 0x45786966;
  const EXIF_BLOCK = 0x8769,
    GPS_BLOCK = 0x8825,
    TIME = 0x9003,
    OFFSET = 0x9010,
    OFFSET_ORIGINAL = 0x9011;
  const ASCII = 2,
    RATIONAL = 5;

  function tiffOf(view) {
    if (view.getUint16(0) !== SOI) return null;
    for (let at = 2; at + 10 < view.byteLength;) {
      const mark = view.getUint16(at);
      if (mark < 0xff00 || mark === SOS) return null;
      if (mark === APP1 && view.getUint32(at + 4) === EXIF) return new DataView(view.buffer, at + 10);
      at += 2 + view.getUint16(at + 2);
    }
    return null;
  }

  // tag -> its value: words, or figures of a pair of whole numbers each; other kinds only as a whole number
  function block(tiff, at, small) {
    const found = new Map();
    for (let n = tiff.getUint16(at, small), line = at + 2; n > 0; n--, line += 12) {
      const kind = tiff.getUint16(line + 2, small),
        count = tiff.getUint32(line + 4, small);
      const first = tiff.getUint32(line + 8, small);
      if (kind === ASCII && count < 64)
        found.set(tiff.getUint16(line, small), words(tiff, count > 4 ? first : line + 8, count));
      else if (kind === RATIONAL && count < 8) found.set(tiff.getUint16(line, small), pairs(tiff, first, count, small));
      else found.set(tiff.getUint16(line, small), first);
    }
    return found;
  }
  const words = (tiff, at, count) =>
    [...Array(count).keys()]
      .map((n) => String.fromCharCode(tiff.getUint8(at + n)))
      .join("")
      .replace(/\0.*$/, "")
      .trim();
  const pairs = (tiff, at, count, small) =>
    [...Array(count).keys()].map((n) => tiff.getUint32(at + 8 * n, small) / tiff.getUint32(at + 8 * n + 4, small));

  function time(shot) {
    const [, year, ...rest] = /^(\d{4}):(\d\d):(\d\d) (\d\d):(\d\d):(\d\d)$/.exec(shot.get(TIME) || "") || [];
    const written = `${year}-${rest[0]}-${rest[1]}T${rest.slice(2).join(":")}`;
    if (!year || year < 1970 || year >= 2200 || Number.isNaN(Date.parse(`${written}Z`))) return {};
    const offset = shot.get(OFFSET_ORIGINAL) || shot.get(OFFSET) || "";
    return { photo_taken_at: written + (/^[+-]\d\d:\d\d$/.test(offset) ? offset : "") };
  }

  // both or none: half a place is no place
  function place(gps) {
    const lat = degrees(gps.get(2), gps.get(1), "NS", 90),
      lon = degrees(gps.get(4), gps.get(3), "EW", 180);
    return lat === null || lon === null ? {} : { photo_lat: lat, photo_lon: lon };
  }
  function degrees(parts, letter, letters, most) {
    if (
      !Array.isArray(parts) ||
      parts.length !== 3 ||
      typeof letter !== "string" ||
      letter.length !== 1 ||
      !letters.includes(letter)
    )
      return null;
    const value = parts[0] + parts[1] / 60 + parts[2] / 3600;
    if (!Number.isFinite(value) || value > most) return null;
    return Math.round((letter === letters[1] ? -value : value) * 1e6) / 1e6;
  }

  async function facts(file) {
    try {
      const tiff = tiffOf(new DataView(await file.slice(0, HEAD).arrayBuffer()));
      if (!tiff) return {};
      const small = tiff.getUint16(0) === 0x4949,
        first = block(tiff, tiff.getUint32(4, small), small);
      const of = (name) => (first.has(name) ? block(tiff, first.get(name), small) : new Map());
      return { ...time(of(EXIF_BLOCK)), ...place(of(GPS_BLOCK)) };
    } catch {
      return {}; // what cannot be read is not known; the photo itself is kept
    }
  }

  async function scaled(file) {
    let picture;
    try {
      picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    } catch {
      return file.arrayBuffer(); // the phone cannot draw it; the office says what it thinks of it
    }
    for (const [side, quality] of [
      [1600, 0.82],
      [1600, 0.6],
      [1200, 0.6],
      [900, 0.5],
    ]) {
      const grow = Math.min(1, side / Math.max(picture.width, picture.height));
      const canvas = Object.assign(document.createElement("canvas"), {
        width: Math.round(picture.width * grow),
        height: Math.round(picture.height * grow),
      });
      canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
      const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", quality));
      if (blob && (blob.size <= 1_000_000 || side === 900)) return blob.arrayBuffer();
    }
    return file.arrayBuffer();
  }
  return { facts, scaled };
})();
