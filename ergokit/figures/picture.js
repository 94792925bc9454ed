/* The front end of picture.py, below space.js in one module: a module of its own for each picture, shared by all its views.

   It paints from the state that came with the opening message, then asks the kernel for the state as it is now: that answer waits
   for a running cell, so it only corrects. Afterwards the kernel sends what differs, numbered; where a number is missing it asks
   again. */

let state = null; // what the kernel said last
let connected = null; // the link to the kernel, made once
const views = new Set();

/** Hear the kernel, also where anywidget does not: its model drops every message after a module that took over 2 s (its issues
    803 and 804), so the comm is bound again, to the handler of ipywidgets below it. All that is used of their insides is here. */
async function connect(model) {
  const inside = await model.widget_manager.get_model(model.get("name"));
  if (!inside.comm) return false; // a page without a kernel shows what it was saved with
  const plain = Object.getPrototypeOf(inside.constructor.prototype)._handle_comm_msg;
  inside.comm.on_msg((message) => plain.call(inside, message));
  inside.on("msg:custom", (content) => take(content, model));
  model.send({ ask: "whole" });
  return true;
}

function take({ whole, n, parts }, model) {
  if (whole) {
    if (whole.n >= state.n) state = whole;
  } else if (n === state.n + 1) {
    const known = { ...state.parts };
    for (const [name, part] of Object.entries(parts)) {
      if (part === null) delete known[name];
      else known[name] = part;
    }
    state = { ...state, n, parts: known };
  } else if (n > state.n) model.send({ ask: "whole" });
  for (const view of views) view.later();
}

/** plotly.js, as the installed plotly brings it, evaluated once a page and version. */
function plotly(model) {
  const key = `ergokit plotly ${model.get("version")}`;
  window[key] ??= (async () => {
    const library = await model.widget_manager.get_model(model.get("library"));
    const url = URL.createObjectURL(new Blob([library.get("code")], { type: "text/javascript" }));
    const before = Object.getOwnPropertyDescriptor(window, "Plotly");
    await import(url);
    URL.revokeObjectURL(url);
    const ours = window.Plotly;
    delete window.Plotly; // it sets this even as a module; somebody else's belongs back
    if (before) Object.defineProperty(window, "Plotly", before);
    return ours;
  })();
  return window[key];
}

function spacePainter(model, el, later) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  const says = { class: "space", role: "img", tabindex: 0, "aria-label": `${model.get("about")} Arrow keys turn it, + and − zoom.` };
  for (const [name, value] of Object.entries(says)) svg.setAttribute(name, value);
  let turning = null; // the view while a finger is down: the model hears where it comes to rest
  const get = () => turning ?? model.get("view");
  turnable(svg, get, (view, rests) => {
    turning = rests ? null : view;
    if (rests) {
      model.set("view", view);
      model.save_changes();
    }
    later();
  });
  el.append(svg);
  return async () => {
    const { width, height, parts: items } = state;
    return paint(svg, { items, width, height, looks: model.get("looks") }, get());
  };
}

function flatPainter(model, el) {
  const place = el.appendChild(document.createElement("div"));
  place.setAttribute("role", "img");
  place.setAttribute("aria-label", model.get("about"));
  return async () => {
    const Plotly = await plotly(model);
    const { layout, ...traces } = state.parts;
    // react compares arrays by identity: those of a part that did not change are the same, and what the reader did stays.
    const data = Object.values(traces).map((trace) => ({ ...trace }));
    await Plotly.react(place, data, { ...structuredClone(layout), uirevision: "kept" }, { displaylogo: false, displayModeBar: false });
    return (layout.annotations ?? []).filter((note) => note.visible !== false && note.text).map((note) => note.text);
  };
}

function render({ model, el, signal }) {
  state ??= model.get("picture");
  let asked = false, busy = false, telling = null;
  const view = {
    name: `${Date.now()}-${Math.random()}`,
    later() {
      if (asked) return;
      asked = true;
      requestAnimationFrame(now);
    },
  };
  const make = model.get("view") ? spacePainter : flatPainter, painted = make(model, el, view.later);
  async function now() {
    if (busy) return requestAnimationFrame(now);
    asked = false;
    if (!el.isConnected || !el.clientWidth) return; // painted once it has a size
    busy = true;
    const n = state.n;
    try {
      const words = await painted();
      el.classList.add("painted");
      clearTimeout(telling);
      telling = setTimeout(tell, 60, n, words);
    } finally {
      busy = false;
    }
  }
  /** The browser's own word on what it painted last. */
  const tell = async (n, words) => (await connected) && model.send({ shown: view.name, n, words });
  const sized = new ResizeObserver(view.later);
  sized.observe(el);
  model.on("change:view", view.later);
  views.add(view);
  signal?.addEventListener("abort", () => {
    views.delete(view);
    sized.disconnect();
  });
  view.later();
  connected ??= connect(model);
}

export default { render };
