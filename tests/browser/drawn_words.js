// Words of the drawings on this page that stand on one another, leave their sheet, or are struck through by a line. A
// word is its letters as they stand, turned or not: of the line that it takes the middle three fifths, from the foot of
// a letter to its head. A line under the blank that a word clears for itself strikes nothing; one that shall go
// through a word (a reading that was corrected) is on a layer "strike", a faint rule that words may stand on is "under",
// a crayon's ring round what fails is "ring".
// Lines are what takes long: of a drawing whose words stand where they stood when it was looked at (another width,
// another person) they are not asked again. `known` names drawings that were found clean; gives the faults, and by
// name what of the drawings here is clean too.
(known = []) => {
  const corners = (word) => {
    const box = word.getBBox(),
      on = word.getScreenCTM();
    if (!box.width || !on) return null;
    const [left, right] = [box.x + 0.5, box.x + box.width - 0.5],
      [head, foot] = [box.y + box.height * 0.2, box.y + box.height * 0.8];
    const four = [
      [left, head],
      [right, head],
      [right, foot],
      [left, foot],
    ];
    return four.map(([x, y]) => [on.a * x + on.c * y + on.e, on.b * x + on.d * y + on.f]);
  };
  // two boxes are apart if a line along a side of one of them has all of one on one side (separating axes)
  const apart = (one, other) =>
    [one, other].some((box) =>
      box.some(([x1, y1], side) => {
        const [x2, y2] = box[(side + 1) % 4],
          long = Math.hypot(x2 - x1, y2 - y1) || 1;
        const along = (points) => points.map(([x, y]) => (x * (y2 - y1) + y * (x1 - x2)) / long);
        const [a, b] = [along(one), along(other)];
        return Math.max(...a) - 0.5 <= Math.min(...b) || Math.max(...b) - 0.5 <= Math.min(...a);
      }),
    );
  const LINES = "line, polyline, polygon, path, circle, ellipse, rect";
  const painted = (shape, how) => {
    const style = getComputedStyle(shape);
    return style[how] !== "none" && Number(style.opacity) > 0;
  };
  const rect = (box) => {
    const [xs, ys] = [box.map(([x]) => x), box.map(([, y]) => y)];
    return { left: Math.min(...xs), right: Math.max(...xs), top: Math.min(...ys), bottom: Math.max(...ys) };
  };
  const close = (one, other, by) =>
    one.left <= other.right + by && one.right >= other.left - by && one.top <= other.bottom + by && one.bottom >= other.top - by;
  // the strokes of a path one by one, where each begins at a place of its own: a stippled ground has thousands, and to
  // find a point far along a path its browser walks all of it
  const strokes = (shape) => {
    const parts = (shape.getAttribute("d") || "").split(/(?=M)/);
    if (parts.length < 2) return [shape];
    return parts.map((part) => {
      const stroke = document.createElementNS("http://www.w3.org/2000/svg", "path");
      stroke.setAttribute("d", part);
      return stroke;
    });
  };
  // points on the ink of a line where it may meet one of the boxes, on the screen, a px and a half apart: a long line is
  // asked every 24 px first, and between two of these only where one of them is so near that it may
  const FINE = 1.5,
    STRIDE = 16;
  const along = (shape, boxes) => {
    const on = shape.getScreenCTM(),
      grown = Math.hypot(on.a, on.b) || 1,
      found = [],
      reach = (FINE * STRIDE) / 2 + 2;
    for (const line of strokes(shape)) {
      const long = line.getTotalLength(),
        count = Math.ceil((long * grown) / FINE) || 1;
      const point = (at) => {
        const { x, y } = line.getPointAtLength((long * at) / count);
        return [on.a * x + on.c * y + on.e, on.b * x + on.d * y + on.f];
      };
      for (let at = 0; at <= count; at += STRIDE) {
        const [x, y] = point(at);
        if (!boxes.some((box) => close(box, { left: x, right: x, top: y, bottom: y }, reach))) continue;
        for (let fine = Math.max(0, at - STRIDE / 2); fine <= Math.min(count, at + STRIDE / 2); fine++) found.push(point(fine));
      }
    }
    return found;
  };
  const within = (box, [x, y]) =>
    box.every(([x1, y1], side) => {
      const [x2, y2] = box[(side + 1) % 4];
      return (x2 - x1) * (y - y1) - (y2 - y1) * (x - x1) > Math.hypot(x2 - x1, y2 - y1);
    });
  const after = (one, other) => other.compareDocumentPosition(one) & Node.DOCUMENT_POSITION_FOLLOWING;
  const covered = ({ shape, back, edge }, [x, y]) =>
    x >= edge.left && x <= edge.right && y >= edge.top && y <= edge.bottom &&
    shape.isPointInFill(new DOMPoint(x, y).matrixTransform(back));
  const struck = (sheet, words) => {
    const shapes = [...sheet.querySelectorAll(LINES)].filter((shape) => !shape.closest(".layer-strike, .layer-under, .layer-ring, defs, clipPath"));
    const fills = shapes
      .filter((shape) => painted(shape, "fill"))
      .map((shape) => ({ shape, back: shape.getScreenCTM().inverse(), edge: shape.getBoundingClientRect() }));
    const found = [];
    for (const shape of shapes.filter((each) => painted(each, "stroke"))) {
      const edge = shape.getBoundingClientRect();
      const near = words.map((each) => [...each, rect(each[1])]).filter((each) => close(each[3], edge, 1));
      if (!near.length) continue;
      const points = along(shape, near.map((each) => each[3]));
      for (const [said, box, word] of near) {
        const through = points.filter((at) => within(box, at));
        if (!through.length) continue;
        const over = fills.filter((fill) => fill.shape !== shape && after(fill.shape, shape) && after(word, fill.shape));
        if (through.some((at) => !over.some((fill) => covered(fill, at)))) found.push(said);
      }
    }
    const hidden = words.filter(([, [head, over, under, foot], word]) => {
      const middle = [0.02, 0.25, 0.5, 0.75, 0.98].flatMap((share) =>
        [0.2, 0.5, 0.8].map((low) =>
          [0, 1].map((axis) => {
            const [top, base] = [head[axis] + (over[axis] - head[axis]) * share, foot[axis] + (under[axis] - foot[axis]) * share];
            return top + (base - top) * low;
          }),
        ),
      );
      return fills.some((fill) => after(fill.shape, word) && middle.some((point) => covered(fill, point)));
    });
    return [
      ...[...new Set(found)].map((said) => `“${said}” is struck through by a line`),
      ...hidden.map(([said]) => `“${said}” is painted over`),
    ];
  };
  // FNV-1a twice, with other beginnings
  const name = (text) =>
    [0x811c9dc5, 0x01000193]
      .map((begin) => {
        let hash = begin;
        for (let at = 0; at < text.length; at++) hash = Math.imul(hash ^ text.charCodeAt(at), 0x01000193);
        return (hash >>> 0).toString(16);
      })
      .join("-");
  const faults = [],
    clean = [];
  for (const sheet of document.querySelectorAll("svg")) {
    if (!sheet.checkVisibility()) continue;
    const words = [...sheet.querySelectorAll("text")]
      .filter((word) => word.textContent.trim() && word.checkVisibility())
      .map((word) => [word.textContent.trim(), corners(word), word])
      .filter(([, box]) => box);
    const edge = sheet.getBoundingClientRect();
    const outside = ([x, y]) => x < edge.left - 1 || x > edge.right + 1 || y < edge.top - 1 || y > edge.bottom + 1;
    for (const [word, box] of words) if (box.some(outside)) faults.push(`“${word}” leaves its sheet`);
    words.forEach(([word, box], at) => {
      for (const [other, its] of words.slice(0, at))
        if (!apart(box, its)) faults.push(`“${other}” and “${word}” stand on one another`);
    });
    const wide = edge.width || 1,
      places = words.map(([, box]) => box.map(([x, y]) => [(x - edge.left) / wide, (y - edge.top) / wide].map((at) => at.toFixed(3))));
    const named = name(`${sheet.outerHTML} ${places}`);
    if (known.includes(named)) continue;
    const found = struck(sheet, words);
    faults.push(...found);
    if (!found.length) clean.push(named);
  }
  return { faults, clean };
};
