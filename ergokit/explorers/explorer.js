/* What the browser does for every explorer: it names controls for a screen reader, shows what a measure is, and is the projector. */

const unnamed = "[role=slider], input[type=number]";
const labels = ".widget-label.ergokit-term"; // of controls, which are no buttons by themselves
const terms = `:is(.ergokit-measures, .ergokit-large, .ergokit-rules) button, .ergokit-what, ${labels}`;

/** Gives a slider or a number box its tip as accessible name: ipywidgets leaves those on a label that nobody reads. */
function nameControl(control) {
  const label = control.closest(".jupyter-widgets").querySelector("label[title]");
  if (label) control.setAttribute("aria-label", label.title);
}

/** Shows the entry of the glossary beside a measure's name; a click elsewhere or Escape closes it. */
function explain(root, word, entries) {
  const name = Object.keys(entries).find((each) => `${word.textContent} ${word.title}`.includes(each));
  const box = root.querySelector(":scope > .ergokit-entry") ?? root.appendChild(document.createElement("div"));
  Object.assign(box, { className: "ergokit-entry", popover: "auto", innerHTML: `<b>${name}</b>, ${entries[name]}` });
  box.showPopover();
  const { left, top, bottom } = word.getBoundingClientRect();
  const below = bottom + box.offsetHeight < innerHeight;
  box.style.left = `${Math.min(left, innerWidth - box.offsetWidth - 8)}px`;
  box.style.top = `${below ? bottom + 2 : Math.max(top - box.offsetHeight - 2, 0)}px`;
}

/** Show the explorer above the whole page, its pictures as large as fits; the style hides the rest. */
function project(root) {
  const canvases = [...root.querySelectorAll(".ergokit-canvas")].filter((canvas) => !canvas.closest(".ergokit-desk"));
  const high = canvases.reduce((sum, canvas) => sum + canvas.offsetHeight, 0);
  const wide = Math.max(...canvases.map((canvas) => canvas.offsetWidth));
  const fit = () => {
    const above = root.querySelector(".ergokit-large")?.offsetHeight ?? 0;
    const zoom = Math.min((innerHeight - above - 48) / high, (innerWidth - 48) / wide);
    root.style.setProperty("--ergokit-zoom", zoom.toFixed(3));
  };
  const leave = root.appendChild(Object.assign(document.createElement("button"), { className: "ergokit-leave", textContent: "Escape leaves" }));
  const before = document.activeElement;
  const keys = (event) => {
    const entry = root.querySelector(".ergokit-entry:popover-open");
    if (event.key === "Escape" && entry) entry.hidePopover();
    else if (event.key === "Escape") close();
    else if (event.key === "Tab") { // what lies below is not to be reached
      const stops = [...canvases.map((canvas) => canvas.querySelector("[tabindex]")).filter(Boolean), leave];
      stops[(stops.indexOf(document.activeElement) + (event.shiftKey ? stops.length - 1 : 1)) % stops.length].focus();
    } else return;
    event.preventDefault();
    event.stopPropagation(); // JupyterLab would take it for the notebook
  };
  const close = () => {
    removeEventListener("keydown", keys, true);
    removeEventListener("resize", fit);
    leave.remove();
    if (root.matches(":popover-open")) root.hidePopover();
    root.removeAttribute("popover"); // a popover that is closed is not shown at all
    before?.focus();
  };
  root.setAttribute("popover", "manual");
  root.showPopover();
  fit();
  addEventListener("keydown", keys, true);
  addEventListener("resize", fit);
  leave.addEventListener("click", close);
  (canvases[0]?.querySelector("[tabindex]") ?? leave).focus();
}

function render({ model, el }) {
  requestAnimationFrame(() => {
    const root = el.closest(".ergokit");
    root?.querySelectorAll(unnamed).forEach(nameControl);
    root?.querySelectorAll(labels).forEach((label) => Object.assign(label, { tabIndex: 0, role: "button" }));
    root?.addEventListener("focusin", (event) => event.target.matches(unnamed) && nameControl(event.target));
    root?.addEventListener("click", (event) => {
      const word = event.target.closest(terms);
      if (event.target.closest(".ergokit-projector")) project(root);
      else if (word?.closest(".ergokit") === root) explain(root, word, model.get("entries"));
    });
    root?.addEventListener("keydown", (event) => event.key === "Enter" && event.target.matches(labels) && event.target.click());
  });
}

export default { render };
