/* Space drawn as SVG: where each point of a scene falls, and the scene with its labels, which the reader turns by drag, pinch
   and keys. `space.py` does the same for a page without a reader, and a test holds the two together. A scene is described in
   scene.py; looks and colours come from style.py, the colours as CSS variables so that a dark page needs no new drawing. */

const NEAREST = 0.1, AHEAD = 1000, ROOM = 0.92, RINGS = [1, 2.5, 4.5, 7, 10, 14], LETTER = 0.56, GAP = 5;
const SIDES = {
  right: [1, 0], left: [-1, 0], above: [0, -1], below: [0, 1],
  "upper right": [0.75, -0.8], "upper left": [-0.75, -0.8], "lower right": [0.75, 0.8], "lower left": [-0.75, 0.8],
};
const inner = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const limited = (value, low, high) => Math.min(Math.max(value, low), high);
const escaped = (text) => text.replace(/[&<>]/g, (sign) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;" })[sign]);
const px = (value) => Math.round(100 * value) / 100;
const kindOf = (item) => ["line", "mark", "face", "label"].find((kind) => kind in item);

/** Unit vectors to the right and up in the picture, and towards the reader. */
export function axes({ turn, tilt }) {
  const [round, above] = [turn, tilt].map((degrees) => (degrees * Math.PI) / 180);
  const right = [Math.cos(round), Math.sin(round), 0];
  const back = [Math.sin(round) * Math.cos(above), -Math.cos(round) * Math.cos(above), Math.sin(above)];
  return [right, cross(back, right), back];
}

/** A function from a point to [px from the left, px from the top, nearness in cm, how much larger it looks]. */
export function projection(view, width, height) {
  const [right, up, back] = axes(view), eye = view.eye * view.reach;
  const scale = (view.zoom * Math.min(width, height)) / 2 / view.reach;
  return (point) => {
    const away = point.map((part, i) => part - view.centre[i]);
    const nearness = inner(away, back), larger = eye ? eye / Math.max(eye - nearness, NEAREST * eye) : 1;
    return [width / 2 + scale * larger * inner(away, right), height / 2 - scale * larger * inner(away, up), nearness, larger];
  };
}

/** The view drawn back just so far that every sign would stay in the picture if the reader had not zoomed. */
export function keptIn(items, view, width, height) {
  const at = projection({ ...view, zoom: 1 }, width, height);
  const off = Object.values(items).filter((item) => item.mark).flatMap((item) => item.at.map(at))
    .map(([x, y]) => Math.max(Math.abs(x / width - 0.5), Math.abs(y / height - 0.5)));
  return { ...view, zoom: view.zoom / Math.max(1, ...off.map((part) => part / (ROOM / 2))) };
}

/** Where labels go: label and its middle in px, off the marks, the shafts and each other, inside the picture. */
export function placeLabels(items, at, looks, width, height) {
  const taken = [], placed = [];
  for (const item of Object.values(items)) {
    if (item.mark) {
      const half = looks.marks[item.mark].size / 2;
      for (const point of item.at) taken.push([...at(point).slice(0, 2), half, half]);
    } else if (item.line?.endsWith("side")) {
      const [start, end] = item.at.map(at);
      for (let i = 0; i < 7; i++) {
        const share = 0.1 + (0.8 * i) / 6;
        taken.push([start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]), 3, 3]);
      }
    }
  }
  const covered = ([x, y], [wide, high]) => taken.reduce((sum, [left, top, halfWide, halfHigh]) =>
    sum + Math.max(Math.min(left + halfWide, x + wide) - Math.max(left - halfWide, x - wide), 0) *
      Math.max(Math.min(top + halfHigh, y + high) - Math.max(top - halfHigh, y - high), 0), 0);
  for (const item of Object.values(items)) {
    if (!item.text) continue;
    const { size } = looks.labels[item.label], half = [(LETTER / 2) * size * item.text.length, 0.6 * size];
    const [x, y] = at(item.at[0]), [right, down] = SIDES[item.side];
    const ways = Object.values(SIDES).toSorted((one, other) => (other[0] - one[0]) * right + (other[1] - one[1]) * down);
    let best = null;
    for (const far of RINGS) {
      for (const way of ways) {
        const wanted = [x + way[0] * (half[0] + 9 + GAP * far), y + way[1] * (half[1] + 9 + GAP * far)];
        const place = [limited(wanted[0], half[0] + 2, width - half[0] - 2), limited(wanted[1], half[1] + 2, height - half[1] - 2)];
        const cost = covered(place, half) + 50 * (Math.abs(wanted[0] - place[0]) + Math.abs(wanted[1] - place[1]));
        if (best === null || cost < best.cost) best = { place, cost };
        if (best.cost === 0) break;
      }
      if (best.cost === 0) break;
    }
    taken.push([...best.place, ...half]);
    placed.push([item, best.place]);
  }
  return placed;
}

const SHAPES = {
  circle: (r) => `M${-r} 0a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0z`,
  diamond: (r) => `M0 ${-r}L${r} 0L0 ${r}L${-r} 0z`,
  square: (r) => `M${-r} ${-r}H${r}V${r}H${-r}z`,
  "circle-cross": (r) => `${SHAPES.circle(r)}M${-r} 0H${r}M0 ${-r}V${r}`,
  x: (r) => {
    const arm = 0.4 * r;
    return `M${-arm} ${-r}H${arm}V${-arm}H${r}V${arm}H${arm}V${r}H${-arm}V${arm}H${-r}V${-arm}H${-arm}z`;
  },
};

function drawnMark(style, [x, y, , larger]) {
  const colour = `var(--space-${style.colour})`, tip = style.shape === "x" ? " rotate(45)" : "";
  const fill = style.open ? `fill="var(--space-paper)" fill-opacity="0.7" stroke="${colour}" stroke-width="3"` : `fill="${colour}" stroke="var(--space-edge)" stroke-width="1.5"`;
  return `<path transform="translate(${px(x)} ${px(y)})${tip}" d="${SHAPES[style.shape](px((style.size / 2) * larger))}" ${fill}/>`;
}

function drawnLine(style, seen) {
  let pen = "M", d = "", larger = 0, count = 0;
  for (const point of seen) {
    if (point === null) pen = "M";
    else {
      d += `${pen}${px(point[0])} ${px(point[1])}`;
      pen = "L";
      larger += point[3];
      count += 1;
    }
  }
  const dash = style.dash.length ? ` stroke-dasharray="${style.dash.join(" ")}"` : "";
  return `<path d="${d}" fill="none" stroke="var(--space-${style.colour})" stroke-width="${px((style.width * larger) / count)}"${dash}/>`;
}

/** All that is drawn: a sheet as the lines and faces it is made of. */
const pieces = (items) => Object.values(items).flatMap((item) => (item.sheet ? [
  { face: item.sheet, at: item.at.slice(1).map((line, i) => [...item.at[i], ...line.map((_, j) => line.at(-1 - j))]) },
  ...item.at.map((line) => ({ line: item.sheet, at: line })),
  ...item.rims.map((line) => ({ line: `${item.sheet} rim`, at: line })),
] : [item]));

/** Draw a scene's items into an svg element, from the farthest to the nearest; returns what is written in it. */
export function paint(svg, { items, width, height, looks }, view) {
  const at = projection(keptIn(items, view, width, height), width, height), parts = [];
  for (const item of pieces(items)) {
    const kind = kindOf(item);
    if (kind === "label" || item.at.length === 0) continue;
    const style = looks[`${kind}s`][item[kind]];
    for (const points of kind === "face" ? item.at : [item.at]) {
      const seen = points.map((point) => point && at(point)), there = seen.filter(Boolean);
      const middle = there.reduce((sum, point) => sum + point[2], 0) / there.length;
      const depth = item.line === "grid" ? -Infinity : middle + (kind === "mark" ? AHEAD : 0);
      if (kind === "mark") parts.push([depth, seen.map((point) => drawnMark(style, point)).join("")]);
      else if (kind === "line") parts.push([depth, drawnLine(style, seen)]);
      else {
        const corners = seen.map((point) => `${px(point[0])},${px(point[1])}`).join(" ");
        parts.push([depth, `<polygon points="${corners}" fill="var(--space-${style.colour})" fill-opacity="${style.opacity}"/>`]);
      }
    }
  }
  const labels = placeLabels(items, at, looks, width, height);
  const words = labels.map(([item, [x, y]]) => {
    const { colour, size, bold } = looks.labels[item.label];
    return `<text x="${px(x)}" y="${px(y)}" fill="var(--space-${colour})" font-size="${size}"${bold ? ' font-weight="bold"' : ""}>${escaped(item.text)}</text>`;
  });
  parts.sort((one, other) => one[0] - other[0]);
  svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
  svg.innerHTML = parts.map(([, part]) => part).join("") + words.join("");
  return labels.map(([item]) => item.text);
}

function turned(view, round, above) {
  return { ...view, turn: ((((view.turn + round + 180) % 360) + 360) % 360) - 180, tilt: limited(view.tilt + above, -90, 90) };
}

const zoomed = (view, times) => ({ ...view, zoom: limited(view.zoom * times, 0.3, 6) });

/** Let the reader turn a picture by drag, pinch and keys. `get` gives its view, `set` takes another: (view, whether it rests). */
export function turnable(svg, get, set) {
  const fingers = new Map();
  const spread = () => {
    const [one, other] = [...fingers.values()];
    return Math.hypot(one[0] - other[0], one[1] - other[1]);
  };
  svg.addEventListener("pointerdown", (event) => {
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
    svg.setPointerCapture(event.pointerId);
  });
  svg.addEventListener("pointermove", (event) => {
    const last = fingers.get(event.pointerId);
    if (!last) return;
    const before = fingers.size === 2 ? spread() : 0;
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
    if (fingers.size === 2) set(zoomed(get(), spread() / before), false);
    else if (fingers.size === 1) set(turned(get(), -0.5 * (event.clientX - last[0]), 0.4 * (event.clientY - last[1])), false);
  });
  for (const ending of ["pointerup", "pointercancel"]) {
    svg.addEventListener(ending, (event) => fingers.delete(event.pointerId) && set(get(), true));
  }
  svg.addEventListener("wheel", (event) => {
    if (!event.ctrlKey) return; // a pinch on a touchpad; anything else scrolls the page
    event.preventDefault();
    set(zoomed(get(), Math.exp(-0.01 * event.deltaY)), true);
  }, { passive: false });
  const keys = {
    ArrowLeft: (view) => turned(view, -5, 0), ArrowRight: (view) => turned(view, 5, 0),
    ArrowUp: (view) => turned(view, 0, 5), ArrowDown: (view) => turned(view, 0, -5),
    "+": (view) => zoomed(view, 1.15), "=": (view) => zoomed(view, 1.15), "-": (view) => zoomed(view, 1 / 1.15),
  };
  svg.addEventListener("keydown", (event) => {
    if (!(event.key in keys) || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    event.stopPropagation(); // JupyterLab would move to another cell
    set(keys[event.key](get()), true);
  });
}
