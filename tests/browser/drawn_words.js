// Words of the drawings on this page that stand on one another or leave their sheet. A word is its letters as they
// stand, turned or not: of the line that it takes the middle three fifths, from the foot of a letter to its head.
() => {
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
  const faults = [];
  for (const sheet of document.querySelectorAll("svg")) {
    if (!sheet.checkVisibility()) continue;
    const words = [...sheet.querySelectorAll("text")]
      .filter((word) => word.textContent.trim() && word.checkVisibility())
      .map((word) => [word.textContent.trim(), corners(word)])
      .filter(([, box]) => box);
    const edge = sheet.getBoundingClientRect();
    const outside = ([x, y]) => x < edge.left - 1 || x > edge.right + 1 || y < edge.top - 1 || y > edge.bottom + 1;
    for (const [word, box] of words) if (box.some(outside)) faults.push(`“${word}” leaves its sheet`);
    words.forEach(([word, box], at) => {
      for (const [other, its] of words.slice(0, at))
        if (!apart(box, its)) faults.push(`“${other}” and “${word}” stand on one another`);
    });
  }
  return faults;
};
