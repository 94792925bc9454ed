const DATA = JSON.parse(document.getElementById("data").textContent);
const byId = (id) => document.getElementById(id);
const one = (selector) => document.querySelector(selector);

// ---- Vectors, and the formulas of ergokit.triangulation: degrees by atan2, NaN where a quantity has no value ----

const UP = [0, 0, 1], AWAY = [0, 1, 0];
const ROUNDING = 4 * Number.EPSILON;
const plus = (a, b) => a.map((part, i) => part + b[i]);
const minus = (a, b) => a.map((part, i) => part - b[i]);
const times = (a, k) => a.map((part) => part * k);
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const norm = (a) => Math.sqrt(dot(a, a));
const unit = (a) => times(a, 1 / norm(a));
const degrees = (opposite, adjacent) => (opposite === 0 && adjacent === 0 ? NaN : (Math.atan2(opposite, adjacent) * 180) / Math.PI);
const angle = (a, b) => degrees(norm(cross(a, b)), dot(a, b));
const above = (a, n) => degrees(dot(a, n), norm(cross(a, n)));
const halfOpen = (turned) => (turned === -180 ? 180 : turned);

/** Signed angle from a to b, both projected on the plane with normal n. */
function turn(a, b, n) {
  const flatA = cross(a, n), flatB = cross(b, n), size = norm(n);
  const defined = norm(flatA) > ROUNDING * norm(a) * size && norm(flatB) > ROUNDING * norm(b) * size;
  return defined ? degrees(dot(n, cross(flatA, flatB)), size * dot(flatA, flatB)) : NaN;
}

/** Sign of the turn from a to b: 0 in one line. */
function sideOf(a, b, n) {
  const turned = turn(a, b, n);
  return Math.abs(Math.sin((turned * Math.PI) / 180)) > ROUNDING ? Math.sign(turned) : turned - turned; // NaN stays NaN
}

/** Shafts u and v from the target, the normal of their plane (NaN where they have none), the camera's axis taken backwards. */
function parts(p) {
  const u = minus(p.left_port, p.target), v = minus(p.right_port, p.target);
  const across = cross(u, v);
  return {
    u, v, n: p.normal ?? UP,
    across: norm(across) > ROUNDING * norm(u) * norm(v) ? across : [NaN, NaN, NaN],
    back: p.aim ? times(p.aim, -1) : minus(p.camera, p.target),
    sight: minus(p.target, p.camera),
  };
}

function azimuths({ u, v, n, across, back }, plane) {
  if (plane === "space") return [angle(u, back), angle(v, back)];
  if (plane === "instruments") return [halfOpen(turn(u, back, across)), halfOpen(-turn(v, back, across))];
  let side = sideOf(u, v, n);
  if (side === 0) side = sideOf(u, back, n);
  if (side === 0) side = 1;
  return [halfOpen(side * turn(u, back, n)), halfOpen(-side * turn(v, back, n))];
}

function displayAngle(p, { u, v, sight }) {
  let left = cross(u, sight), right = cross(v, sight);
  let seen = norm(sight) > 0;
  for (const [shaft, image] of [[u, left], [v, right]]) seen &&= norm(image) > ROUNDING * norm(shaft) * norm(sight);
  if (p.aim) {
    [left, right] = [cross(p.aim, left), cross(p.aim, right)];
    seen &&= dot(p.aim, sight) > 0;
  }
  return seen ? angle(left, right) : NaN;
}

function handEyeRotation({ n, back }) {
  const lookingDown = back[2] > 0 && Math.hypot(back[0], back[1]) <= ROUNDING * back[2];
  return halfOpen(turn(AWAY, cross(back, cross(DATA.scope?.up ?? (lookingDown ? AWAY : UP), back)), n));
}

function hands(p) {
  return [p.left_port, p.right_port].map((port, i) => {
    const shaft = minus(port, p.target), inside = norm(shaft), length = p.instrument_length[i];
    return plus(p.target, times(shaft, inside > 0 && inside < length ? (length + p.handle_reach) / inside : NaN));
  });
}

/** Every measure: quantity -> [value] or [left, right]. */
function measures(p) {
  const given = parts(p);
  const { u, v, n, across, back, sight } = given;
  const portLine = minus(p.right_port, p.left_port);
  const inside = [norm(u), norm(v)];
  const outside = inside.map((length, i) => p.instrument_length[i] - length);
  const over = (reach) => inside.map((length, i) => (outside[i] > 0 ? length / (outside[i] + reach) : NaN));
  const entry = (shaft) => (norm(shaft) > 0 ? degrees(norm(cross(shaft, p.panel_normal)), Math.abs(dot(shaft, p.panel_normal))) : NaN);
  const tilt = degrees(norm(cross(across, n)), Math.abs(dot(across, n)));
  return {
    "port spacing": [norm(portLine)],
    "manipulation angle": [angle(u, v)],
    "working distance": [norm(sight)],
    "depth": [norm(portLine) > 0 ? norm(cross(u, portLine)) / norm(portLine) : NaN],
    "length inside": inside,
    "length outside": outside,
    "inside : outside": over(0),
    "movement scaling": over(p.handle_reach),
    "handle separation": [norm(minus(...hands(p)))],
    "elevation angle": [above(u, n), above(v, n)],
    "instrument plane tilt": [tilt],
    "angle seen from above": [Math.abs(turn(u, v, n))],
    "azimuth angle, instruments' plane": azimuths(given, "instruments"),
    "azimuth angle, working plane": azimuths(given, "working"),
    "azimuth angle, space": azimuths(given, "space"),
    "view angle": [above(back, n)],
    "off-centre angle": [angle(sight, p.aim ?? sight)],
    "angle on the screen": [displayAngle(p, given)],
    "hand-eye rotation": [handEyeRotation(given)],
    "camera's side": [halfOpen(turn(times(AWAY, -1), back, n))],
    "camera roll": [halfOpen(turn(DATA.scope?.up ?? UP, UP, back))],
    ...(p.panel_normal && { "lean at the port": [entry(u), entry(v)] }),
  };
}

// ---- Words on the numbers ----

/** Why no real arrangement can be like this, or nothing. */
function impossible(p) {
  if (norm(minus(p.left_port, p.right_port)) === 0) return "Both ports are in one place; move one of them.";
  for (const [i, name] of ["left_port", "right_port", "camera"].entries()) {
    const distance = norm(minus(p[name], p.target)), length = p.instrument_length[i];
    if (distance === 0) return `The ${name.replace("_", " ")} is on the target; move one of them.`;
    if (distance >= length) {
      return `The ${name.replace("_port", "")} shaft of ${length.toFixed(1)} cm is too short: its port is ${distance.toFixed(1)} cm from the target.`;
    }
  }
  return "";
}

const UNITS = { deg: "°", cm: " cm", "": "" };

/** What the published ranges say of a value beside the others of a placement: {status, because, place, sign, whence}. */
function verdictOn(quantity, value, measured) {
  const met = ({ needs }) => needs.every(([other, wanted, near]) => Math.abs(measured[other][0] - wanted) <= near + 1e-9);
  const { changes, at, between, words } = DATA.verdicts[quantity].find(met);
  const i = changes.findIndex((change) => value <= change + 1e-9);
  if (i < 0) return words[between.at(-1)];
  return words[changes[i] - value <= 1e-9 ? at[i] : between[i]];
}

/** A number for a reader: one decimal, two for a ratio. */
function shown(quantity, value) {
  if (quantity in DATA.notKnown) return "not known";
  if (Number.isNaN(value)) return "not defined";
  const unitOf = DATA.quantities[quantity].unit;
  const text = value.toFixed(unitOf === "" ? 2 : 1);
  return text.replace(/^-(?=[0.]+$)/, "").replace("-", "−") + UNITS[unitOf];
}

/** What is odd about a value, or nothing. */
function note(quantity, value, beta, view) {
  if (quantity in DATA.notKnown) return DATA.notKnown[quantity];
  if (Number.isNaN(value)) return DATA.whyNot[quantity] ?? "";
  if (quantity === "azimuth angle, instruments' plane" && beta > DATA.steep.from) return DATA.steep.note;
  if (quantity === "azimuth angle, working plane" && Math.abs(view) > DATA.steep.from) return DATA.steep.note;
  if (quantity === "length outside" && value < DATA.short.below) return DATA.short.note;
  return "";
}

const NO_VALUE = { status: "no value", because: "", place: "" };
const judged = (quantity, value, m) => (Number.isNaN(value) || quantity in DATA.notKnown ? NO_VALUE : verdictOn(quantity, value, m));
const sentence = (words) => words && `${words[0].toUpperCase()}${words.slice(1)}${words.endsWith(".") ? "" : "."}`;

function markOf({ status, place, sign, whence }) {
  return place && `<span class="mark-of" data-place="${place}" role="img" aria-label="${status}">${sign} <small>${whence}</small></span>`;
}

/** The sentence under the pictures. */
function tell(m) {
  const said = (quantity) => {
    const value = m[quantity][0], { status, place } = judged(quantity, value, m);
    return shown(quantity, value) + (place && ` (${status.split(";")[0]})`);
  };
  return `Instruments meet at ${said("manipulation angle")}; ${said("angle on the screen")} on the monitor. Lens ${said("working distance")}.`;
}

const placeOf = (name, [x, y, z]) => `${name} ${Math.abs(x).toFixed(1)} cm to the ${x < 0 ? "left" : "right"}, ` +
  `${Math.abs(y).toFixed(1)} cm ${y < 0 ? "towards" : "away from"} you, ${z.toFixed(1)} cm up`;

/** The pictures for somebody who cannot see them. */
function describe(p, m) {
  const both = (quantity) => `left ${shown(quantity, m[quantity][0])}, right ${shown(quantity, m[quantity][1])}`;
  return [
    `Drawing of two instruments that meet at a target at ${shown("manipulation angle", m["manipulation angle"][0])}: ` +
      `${placeOf("left port", p.left_port)}; ${placeOf("right port", p.right_port)}; ${placeOf("camera", p.camera)}; ` +
      `${placeOf("target", p.target)}. Lengths inside: ${both("length inside")}. Elevations: ${both("elevation angle")}.`,
    `What the monitor shows: the two shafts at ${shown("angle on the screen", m["angle on the screen"][0])}; ` +
      `the picture is turned by ${shown("hand-eye rotation", m["hand-eye rotation"][0])}.`,
  ];
}

// ---- Controls: what a slider reads from the placement and what it makes of it ----

const WAYS = ["to the right", "away from you", "up"];
const SPANS = [[-25, 25], [-25, 25], [0, 30]];
const replaced = (a, i, value) => a.map((part, j) => (j === i ? value : part));
const middle = (p) => times(plus(p.left_port, p.right_port), 0.5);

const coordinate = (name) => WAYS.map((way, i) => ({
  label: way, span: SPANS[i],
  get: (p) => p[name][i],
  set: (p, value) => ({ ...p, [name]: replaced(p[name], i, value) }),
}));
const length = (label, ...sides) => ({
  label, span: [20, 50],
  get: (p) => p.instrument_length[sides[0]],
  set: (p, value) => ({ ...p, instrument_length: p.instrument_length.map((old, i) => (sides.includes(i) ? value : old)) }),
});
const handle = { label: "handle beyond", span: [0, 20], get: (p) => p.handle_reach, set: (p, value) => ({ ...p, handle_reach: value }) };
const [leftShaft, rightShaft] = DATA.placement.instrument_length;
const spacing = {
  label: "spacing", span: [2, 40],
  get: (p) => norm(minus(p.right_port, p.left_port)),
  set: (p, value) => {
    const line = minus(p.right_port, p.left_port);
    const half = times(norm(line) > 0 ? unit(line) : [1, 0, 0], value / 2);
    return { ...p, left_port: minus(middle(p), half), right_port: plus(middle(p), half) };
  },
};
const together = WAYS.map((way, i) => ({
  label: way, span: SPANS[i],
  get: (p) => middle(p)[i],
  set: (p, value) => {
    const shift = replaced([0, 0, 0], i, value - middle(p)[i]);
    return { ...p, left_port: plus(p.left_port, shift), right_port: plus(p.right_port, shift) };
  },
}));
const GROUPS = {
  "both ports": [spacing, ...together],
  "left port": coordinate("left_port"),
  "right port": coordinate("right_port"),
  camera: coordinate("camera"),
  target: coordinate("target"),
  shafts: [...(leftShaft === rightShaft ? [length("length", 0, 1)] : [length("left length", 0), length("right length", 1)]), handle],
};

let placement = DATA.placement;
let group = "both ports";

function chips(box, name, choices, chosen, onChoose) {
  box.insertAdjacentHTML("beforeend", choices.map((choice) =>
    `<label><input type="radio" name="${name}" value="${choice}" ${choice === chosen ? "checked" : ""}><span>${choice}</span></label>`).join(""));
  box.addEventListener("change", (event) => onChoose(event.target.value));
}

let playing = null; // a timer, and the button that started it

function stop() {
  clearInterval(playing?.timer);
  if (playing) playing.button.textContent = "▶";
  playing = null;
}

/** Move a slider by itself, up and down as far as there is an arrangement and back to where it was; pressed again, stop. */
function play(button) {
  const again = playing?.button === button;
  stop();
  if (again) return;
  const input = byId(`slider-${button.dataset.plays}`), { set } = GROUPS[group][button.dataset.plays], at = placement;
  const step = Number(input.step), start = Number(input.value);
  const end = (way) => {
    let value = start;
    while (value + way * step >= input.min && value + way * step <= input.max && !impossible(set(at, value + way * step))) value += way * step;
    return value;
  };
  const ways = [end(1), end(-1), start];
  let value = start;
  const timer = setInterval(() => {
    while (ways.length && value === ways[0]) ways.shift();
    if (!ways.length) return stop();
    value += Math.sign(ways[0] - value) * step;
    input.value = value;
    input.dispatchEvent(new Event("input", { bubbles: true }));
  }, 60);
  playing = { timer, button };
  button.textContent = "■";
}

function buildSliders() {
  stop();
  const sliders = GROUPS[group].map(({ label, span, get }, i) => {
    const [low, high] = [Math.min(span[0], Math.floor(get(DATA.placement))), Math.max(span[1], Math.ceil(get(DATA.placement)))];
    return `<div class="slider"><label for="slider-${i}"><span class="unseen">${group}: </span>${label}</label>` +
      `<input type="range" id="slider-${i}" min="${low}" max="${high}" step="0.5"><output for="slider-${i}"></output>` +
      `<button type="button" class="play" data-plays="${i}" aria-label="play ${label}">▶</button></div>`;
  });
  if (group === "target" && DATA.targets.length > 1) {
    sliders.unshift(`<div class="slider choice"><label for="targets">go to target</label><select id="targets">` +
      `${DATA.targets.map((_, i) => `<option value="${i}">${i + 1}</option>`).join("")}</select></div>`);
  }
  one(".sliders").innerHTML = sliders.join("");
  showSliders();
}

function showSliders(moving) {
  GROUPS[group].forEach(({ get }, i) => {
    const input = byId(`slider-${i}`), value = get(placement), text = `${value.toFixed(1).replace(/^-0\.0$/, "0.0")} cm`;
    if (input !== moving) input.value = value;
    input.setAttribute("aria-valuetext", text);
    input.nextElementSibling.value = text.replace("-", "−");
  });
}

// ---- Numbers ----

const TILES = { "manipulation angle": "angle", "angle on the screen": "on monitor", "working distance": "lens to target", "inside : outside": "inside : outside" };
const cell = (quantity, i) => `<output data-quantity="${quantity}" data-side="${DATA.quantities[quantity].sides[i]}"></output>`;

function buildNumbers() {
  one(".tiles").innerHTML = Object.entries(TILES).map(([quantity, name]) =>
    `<div class="tile"><small>${name}</small>${DATA.quantities[quantity].sides.map((side, i) => `<b><i>${side.slice(0, 1).toUpperCase()}</i> ${cell(quantity, i)}</b>`).join("")}</div>`).join("");
  one(".measures").innerHTML = Object.entries(DATA.quantities).map(([quantity, { means, sides }]) =>
    `<details class="measure" data-of="${quantity}"><summary><span>${quantity}</span><span class="values">` +
    `${sides.map((side, i) => `<span><i>${side}</i> ${cell(quantity, i)}</span>`).join("")}</span></summary>` +
    `<p>${means}</p><p class="because"></p></details>`).join("");
}

function showNumbers(p, m, wrong) {
  const { back, across } = parts(p);
  const beta = degrees(Math.abs(dot(back, across)), norm(cross(back, across)));
  for (const output of document.querySelectorAll("output[data-quantity]")) {
    const { quantity, side } = output.dataset, value = m[quantity][side === "right" ? 1 : 0];
    output.innerHTML = wrong ? "–" : `${shown(quantity, value)} ${markOf(judged(quantity, value, m))}`;
  }
  for (const item of document.querySelectorAll(".measure")) {
    const quantity = item.dataset.of, { sides } = DATA.quantities[quantity];
    const lines = sides.map((side, i) => {
      const value = m[quantity][i], { status, because, place } = judged(quantity, value, m);
      const said = place ? `${sentence(status)} ${because}` : because;
      return [side && `${side.toUpperCase()}:`, said, sentence(note(quantity, value, beta, m["view angle"][0]))].filter(Boolean).join(" ");
    });
    item.querySelector(".because").innerText = wrong ? "" : lines.join("\n");
  }
}

let telling;
function showWords(p, m, wrong) {
  ["drawing", "monitor"].forEach((id, i) => byId(id).setAttribute("aria-label", wrong || describe(p, m)[i]));
  clearTimeout(telling); // a screen reader hears where a slider stopped, not every step on the way
  telling = setTimeout(() => {
    byId("told").textContent = wrong || tell(m);
    byId("told").classList.toggle("wrong", Boolean(wrong));
  }, 300);
}

// ---- The drawing: the placement in space, by space.js ----

const opens = (view) => Math.abs(dot(axes(view)[2], parts(DATA.placement).across));
const [LOW, HIGH, PLAN, SIDE] = DATA.views;
const VIEWS = { "in space": opens(LOW) > opens(HIGH) ? LOW : HIGH, above: PLAN, side: SIDE };
let look = VIEWS["in space"];

const line = (a, b, kind) => `<line x1="${a[0]}" y1="${a[1]}" x2="${b[0]}" y2="${b[1]}" class="${kind}"/>`;
const path = (points, kind) => `<path d="M${points.map((q) => q.join(" ")).join("L")}" class="${kind}"/>`;
const label = (q, text, kind = "", anchor = "middle") => `<text x="${q[0]}" y="${q[1]}" text-anchor="${anchor}" class="${kind}">${text}</text>`;

/** Points along the arc from direction a to direction b, both of length 1. */
function arc(a, b, steps = 16) {
  const theta = Math.atan2(norm(cross(a, b)), dot(a, b));
  if (!(Math.sin(theta) > 1e-6)) return [];
  return Array.from({ length: steps + 1 }, (_, i) =>
    times(plus(times(a, Math.sin(theta * (1 - i / steps))), times(b, Math.sin((theta * i) / steps))), 1 / Math.sin(theta)));
}

/** The placement as a scene; see scene.py. */
function sceneOf(p, m, wrong) {
  const { u, v } = parts(p), items = {}, ground = Math.min(0, p.target[2]);
  const floor = (q) => [q[0], q[1], ground];
  const rules = Array.from({ length: 9 }, (_, i) => 5 * i - 20).flatMap((k) =>
    [[k, -20, ground], [k, 20, ground], null, [-20, k, ground], [20, k, ground], null]);
  items.floor = { line: "grid", at: rules };
  items.you = { label: "soft", at: [[0, -20, ground]], text: "you stand here", side: "below" };
  DATA.outlines.forEach((outline, i) => {
    items[`box ${i}`] = { line: "card", at: outline };
    items[`box ${i}, filled`] = { face: i ? "card" : "panel", at: [outline] };
  });
  items.drops = { line: "drop", at: [p.left_port, p.right_port, p.camera, p.target].flatMap((q) => [q, floor(q), null]) };
  items.ports = { line: "port line", at: [p.left_port, p.right_port] };
  items.sight = { line: "optical axis", at: [p.camera, p.target] };
  const radius = Math.min(6, 0.4 * norm(u), 0.4 * norm(v));
  const bow = arc(unit(u), unit(v)).map((q) => plus(p.target, times(q, radius)));
  if (bow.length) {
    items["angle, filled"] = { face: "angle", at: [[p.target, ...bow]] };
    items.angle = { line: "angle", at: bow };
  }
  for (const [i, [name, port]] of [["left", p.left_port], ["right", p.right_port]].entries()) {
    if (!wrong) items[`${name} outside`] = { line: `${name} outside`, at: [port, hands(p)[i]] };
    items[`${name} inside`] = { line: `${name} inside`, at: [p.target, port] };
    items[name] = { mark: `${name} port`, at: [port] };
    items[`${name}, words`] = { label: "word", at: [port], text: name, side: name };
  }
  if (DATA.scope) { // it moves with its tip
    const [hole, head, post] = DATA.scope.ends.map((q) => plus(p.camera, q));
    items["scope, outside"] = { line: "scope outside", at: [hole, head, post] };
    items["scope, inside"] = { line: "scope", at: [p.camera, hole] };
  }
  items.camera = { mark: "camera", at: [p.camera] };
  items.target = { mark: "target", at: [p.target] };
  const value = wrong || !bow.length ? "" : shown("manipulation angle", m["manipulation angle"][0]);
  items["angle, words"] = { label: "big", at: [bow[8] ?? p.target], text: value, side: "above" };
  items["camera, words"] = { label: "word", at: [p.camera], text: "camera", side: "above" };
  items["target, words"] = { label: "word", at: [p.target], text: "target", side: "below" };
  return items;
}

function draw(p, m, wrong) {
  const svg = byId("drawing"), width = svg.clientWidth || 360, height = svg.clientHeight || 250; // for the printer while hidden
  paint(svg, { items: sceneOf(p, m, wrong), width, height, looks: DATA.looks }, look);
  byId("turn").value = look.turn;
}

// ---- The monitor: a pinhole camera with a level horizon, unless a scope says where up is, 70 degrees wide, 4:3 ----

const HALF_WIDTH = Math.tan((35 * Math.PI) / 180), BEHIND = 0.5, SHAFT = 0.5; // cm: nothing nearer is drawn; across a shaft

function drawMonitor(p, m) {
  const svg = byId("monitor"), W = svg.clientWidth || 360, H = (W * 3) / 4;
  const axis = unit(p.aim ?? minus(p.target, p.camera));
  const upright = Math.hypot(axis[0], axis[1]) <= 1e-9 ? [0, -Math.sign(axis[2]), 0] : UP;
  const right = unit(cross(axis, DATA.scope?.up ?? upright)), upwards = cross(right, axis);
  const away = (q) => dot(axis, minus(q, p.camera));
  const pixels = (q) => W / 2 / (HALF_WIDTH * away(q)); // to a cm there
  const at = (q) => {
    const d = minus(q, p.camera);
    return [W / 2 + dot(right, d) * pixels(q), H / 2 - dot(upwards, d) * pixels(q)];
  };
  /** The part of a segment that lies in front of the camera. */
  const inFront = (a, b) => {
    const [za, zb] = [away(a), away(b)];
    if (!(za > BEHIND || zb > BEHIND)) return null;
    const cut = (from, to, z, other) => (z > BEHIND ? from : plus(from, times(minus(to, from), (BEHIND - z) / (other - z))));
    return [cut(a, b, za, zb), cut(b, a, zb, za)];
  };

  const n = unit(p.normal ?? UP);
  const x = unit(norm(cross(AWAY, n)) > 1e-6 ? cross(AWAY, n) : [1, 0, 0]), y = cross(n, x);
  const drawn = [];
  for (let k = -25; k <= 25; k += 5) {
    for (const [a, b] of [[x, y], [y, x]]) {
      const ends = [-25, 25].map((far) => plus(p.target, plus(times(a, k), times(b, far))));
      const seen = inFront(...ends);
      if (seen) drawn.push(line(at(seen[0]), at(seen[1]), "plane"));
    }
  }
  const targetSeen = away(p.target) > BEHIND;
  const T = targetSeen ? [...at(p.target), 0] : [NaN, NaN, NaN];
  const heading = (q) => unit(minus([...at(q), 0], T));
  const near = (port) => plus(p.target, times(minus(port, p.target), 1e-3));
  for (const [port, side] of [[p.left_port, "left"], [p.right_port, "right"]]) {
    const ends = inFront(p.target, port);
    if (!ends) continue;
    const [a, b] = ends.map(at), d = unit([...minus(b, a), 0]);
    const wide = ends.map((q) => Math.max(1.5, Math.min(0.5 * SHAFT * pixels(q), 60)));
    const corner = (q, k, way) => [q[0] - way * k * d[1], q[1] + way * k * d[0]];
    drawn.push(path([corner(a, wide[0], 1), corner(b, wide[1], 1), corner(b, wide[1], -1), corner(a, wide[0], -1)], `tube ${side}`));
    if (side === "right") drawn.push(line(a, b, "midline"));
  }
  if (targetSeen) {
    const dirs = [p.left_port, p.right_port].map((port) => heading(near(port)));
    const bow = arc(...dirs).map((q) => [T[0] + 36 * q[0], T[1] + 36 * q[1]]);
    if (bow.length && bow.every((q) => q.every(Number.isFinite))) drawn.push(path(bow, "arc open"));
    drawn.push(drawnMark(DATA.looks.marks.target, [T[0], T[1], 0, 1]));
    const between = plus(dirs[0], dirs[1]);
    dirs.forEach((d, i) => {
      const beside = [-d[1], d[0], 0], outer = dot(beside, between) > 0 ? -1 : 1;
      const q = plus(T, plus(times(d, 84), times(beside, 34 * outer)));
      if (q.every(Number.isFinite)) drawn.push(label([q[0], q[1] + 4], i ? "right" : "left"));
    });
    const up = heading(plus(p.target, times(y, 1e-3)));
    if (up.every(Number.isFinite) && !Number.isNaN(m["hand-eye rotation"][0])) {
      const [bx, by] = [30 - 13 * up[0], 30 - 13 * up[1]], tip = [bx + 26 * up[0], by + 26 * up[1]];
      const barb = (way) => [tip[0] - 9 * up[0] + way * 6 * up[1], tip[1] - 9 * up[1] - way * 6 * up[0]];
      const head = [barb(1), tip, barb(-1)];
      for (const kind of ["halo", "arrow"]) drawn.push(line([bx, by], tip, kind), path(head, kind));
      drawn.push(label([54, 25], "away from you", "", "start"));
    }
  }
  drawn.push(label([W - 12, 24], shown("angle on the screen", m["angle on the screen"][0]), "big", "end"));
  const visible = targetSeen && T[0] >= 0 && T[0] <= W && T[1] >= 0 && T[1] <= H;
  if (!visible) drawn.push(label([W / 2, H / 2], "the target is not in the picture"));
  svg.setAttribute("viewBox", `0 0 ${W} ${H}`);
  svg.innerHTML = drawn.join("");
}

// ---- The page ----

function show(moving) {
  const m = measures(placement), wrong = impossible(placement);
  showNumbers(placement, m, wrong);
  showSliders(moving);
  draw(placement, m, wrong);
  drawMonitor(placement, m);
  showWords(placement, m, wrong);
}

function move(changes) {
  placement = { ...placement, ...changes };
  show();
}

chips(one(".views"), "view", [...Object.keys(VIEWS), "monitor"], "in space", (view) => {
  one(".pictures").dataset.view = view === "monitor" ? "monitor" : "space";
  look = VIEWS[view] ?? look;
  show();
});
one(".views label:last-child").classList.add("only-narrow");
chips(one(".groups"), "group", Object.keys(GROUPS), group, (chosen) => {
  group = chosen;
  buildSliders();
});
one(".sliders").addEventListener("click", (event) => event.target.dataset.plays && play(event.target));
one(".sliders").addEventListener("input", (event) => {
  if (event.isTrusted) stop(); // a hand on a slider
  if (event.target.id === "targets") return move({ target: DATA.targets[event.target.value] });
  placement = GROUPS[group][Number(event.target.id.at(-1))].set(placement, Number(event.target.value));
  show(event.target);
});
byId("restart").addEventListener("click", () => {
  stop();
  move(DATA.placement);
});
one(".questions").addEventListener("click", (event) => {
  if (!event.target.dataset.moves) return;
  stop();
  move({ ...DATA.placement, ...JSON.parse(event.target.dataset.moves) });
  one(".explorer").scrollIntoView();
});

byId("turn").addEventListener("input", (event) => {
  look = { ...look, turn: Number(event.target.value) };
  show();
});
turnable(byId("drawing"), () => look, (view) => {
  look = view;
  show();
});

const unfold = () => document.querySelectorAll(".fold").forEach((part) => { part.open = true; });
if (matchMedia("(min-width: 900px)").matches) unfold(); // a phone has them folded
addEventListener("beforeprint", unfold);
addEventListener("hashchange", () => byId(location.hash.slice(1))?.closest("details")?.setAttribute("open", ""));

new ResizeObserver(() => show()).observe(one(".pictures"));

buildSliders();
buildNumbers();
show();
