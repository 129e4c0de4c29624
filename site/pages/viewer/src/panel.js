/* The view's frame on the page: the canvas, its buttons, and the card with a part's name. All words are the page's. */

const SVG = "http://www.w3.org/2000/svg";
const WAYS = ["side", "above", "front"];

export class Panel {
  constructor(view, words, options) {
    this.view = view; this.words = words;
    this.root = make("div", { class: "viewer", role: "group", "aria-label": words.title });
    this.stage = make("div", { class: "viewer-stage" });
    this.canvas = options.canvas || document.createElement("canvas");
    attributes(this.canvas, { tabindex: "0", role: "img", "aria-label": words.title, "aria-describedby": "viewer-keys" });
    this.head = make("p", { class: "viewer-head", "aria-live": "polite" });
    this.card = make("div", { class: "viewer-card", hidden: "" });
    this.stage.append(this.canvas, this.head, make("p", { id: "viewer-keys", class: "hidden" }, words.keys));
    this.rows = make("div", { class: "viewer-rows" });
    this.rows.append(this.card);
    this.root.append(this.stage, this.rows);
    if (options.controls !== false) { this.build(); }
  }

  build() {
    const w = this.words, view = this.view;
    this.whole = button(w.full, "viewer-icon", () => this.full(!this.isFull), "M4 9V4h5M15 4h5v5M20 15v5h-5M9 20H4v-5");
    this.shut = button(w.close, "viewer-icon", () => view.close(), "M5 5 19 19M19 5 5 19");
    const corner = make("div", { class: "viewer-corner" });
    corner.append(this.whole, this.shut);
    this.stage.append(corner);
    this.back = button(w.back, "viewer-step", () => view.go(-1), "M15 4 7 12l8 8", true);
    this.start = button(w.play, "viewer-play", () => view.play());
    this.on = button(w.next, "viewer-step on", () => view.go(1), "M9 4l8 8-8 8", true);
    this.time = make("input", { type: "range", min: "0", max: "1000", "aria-label": w.time });
    this.time.addEventListener("input", () => view.scrub(this.time.value / 1000));
    this.film = row("viewer-film", this.start, this.time);
    this.steps = row("viewer-steps", this.back, this.film, this.on);
    this.cutting = button(w.cut, "", () => view.setCut(view.cut ? null : { way: "side" }));
    this.all = button(w.all, "", () => view.showAll());
    this.again = button(w.reset, "", () => view.reset());
    this.parts = make("select", { "aria-label": w.parts });
    this.parts.addEventListener("change", () => view.select(this.parts.value || null));
    this.tools = row("viewer-tools", this.cutting, this.all, this.again, this.parts);
    this.ways = make("select", { "aria-label": w.way });
    WAYS.forEach((way) => this.ways.append(make("option", { value: way }, w["way_" + way])));
    this.ways.addEventListener("change", () => view.setCut({ way: this.ways.value }));
    this.depth = make("input", { type: "range", min: "0", max: "1000", "aria-label": w.depth });
    this.depth.addEventListener("input", () => view.setCut({ way: view.cut.way, share: this.depth.value / 1000 }));
    this.other = button(w.other, "", () => view.setCut({ way: view.cut.way, share: view.cut.share, other: true }));
    this.section = row("viewer-section", this.ways, this.depth, this.other);
    this.section.hidden = true;
    this.rows.append(this.steps, this.tools, this.section);
    this.left = () => { if (!document.fullscreenElement && this.isFull) { this.full(false); } };
    document.addEventListener("fullscreenchange", this.left);
  }

  /* What the view does now. */
  state() {
    const view = this.view, w = this.words;
    if (!this.start) { return; }
    label(this.start, view.playing ? w.pause : w.play);
    this.start.classList.toggle("on", view.playing);
    this.film.hidden = !view.motion || !view.motion.seconds || Boolean(view.own);
    this.time.value = Math.round(view.share * 1000);
    this.back.disabled = !view.next(-1); this.on.disabled = !view.next(1);
    this.steps.hidden = Boolean(view.own);
    this.cutting.setAttribute("aria-pressed", String(Boolean(view.cut)));
    this.section.hidden = !view.cut;
    if (view.cut) { this.ways.value = view.cut.way; this.depth.value = Math.round(view.cut.share * 1000); }
    this.all.disabled = !view.hidden.size && view.alone === null;
    this.parts.value = view.picked || "";
  }

  told(step) {
    const text = this.words.step.replace("{number}", step.number).replace("{title}", step.title);
    this.head.textContent = text;
    this.canvas.setAttribute("aria-label", this.words.title + ". " + text);
    this.named(null);
    if (!this.parts) { return; }
    this.parts.replaceChildren(make("option", { value: "" }, this.words.parts));
    const named = [...step.parts.map((part) => [this.view.nameOf(step, part), this.view.model.parts[part].name]),
      ...step.tools.map((tool) => ["t" + tool.tool, this.view.model.tools[tool.tool].name])];
    named.forEach(([value, name]) => this.parts.append(make("option", { value }, name)));
  }

  /* The card of a part or a tool; none for null. */
  named(told) {
    this.card.replaceChildren();
    this.card.hidden = !told;
    if (!told) { return; }
    const w = this.words, name = make("p", { class: "viewer-name", role: "status" });
    if (told.item) { name.append(make("b", { class: "item" }, String(told.item)), " "); }
    name.append(told.name);
    const links = make("p", { class: "viewer-links" });
    if (told.list) { links.append(make("a", { href: told.list }, w.to_list)); }
    if (told.term) { links.append(make("a", { href: told.term }, w.to_term)); }
    const acts = row("viewer-acts", button(w.away, "", () => this.view.takeAway()), button(w.only, "", () => this.view.onlyThis()));
    this.card.append(name, ...(links.childNodes.length ? [links] : []), acts);
  }

  /* All of the window; the page's own full screen where the browser has none for a part of it. */
  full(on) {
    if (on === Boolean(this.isFull)) { return; }
    this.isFull = on;
    if (on) {
      this.home = make("div", { class: "viewer-home" });
      this.root.before(this.home);
      document.body.append(this.root);
      document.documentElement.classList.add("viewer-held");
      if (this.root.requestFullscreen) { this.root.requestFullscreen().catch(() => {}); }
    } else {
      if (document.fullscreenElement) { document.exitFullscreen().catch(() => {}); }
      document.documentElement.classList.remove("viewer-held");
      const home = this.view.options.homeOf && this.view.at ? this.view.options.homeOf(this.view.at.id) : null;
      if (home) { home.append(this.root); } else { this.home.before(this.root); }
      this.home.remove();
      if (this.view.options.onHome && this.view.at) { this.view.options.onHome(this.view.at.id); }
    }
    this.root.classList.toggle("full", on);
    label(this.whole, on ? this.words.small : this.words.full);
    this.canvas.focus({ preventScroll: true });
    this.view.fit();
  }

  escape() { if (this.isFull) { this.full(false); } else { this.view.close(); } }

  close() {
    if (this.isFull) { this.full(false); }
    if (this.left) { document.removeEventListener("fullscreenchange", this.left); }
    this.root.remove();
  }
}

function attributes(of, values) { Object.entries(values || {}).forEach(([name, value]) => of.setAttribute(name, value)); }

export function make(tag, values, text) {
  const made = document.createElement(tag);
  attributes(made, values);
  if (text !== undefined) { made.textContent = text; }
  return made;
}

/* A button with its text, with a sign, or with a sign and its text where there is room. */
function button(text, kind, act, sign, both) {
  const made = make("button", { type: "button", class: kind });
  made.addEventListener("click", act);
  if (sign) {
    made.append(drawn(sign), make("span", { class: both ? "said" : "hidden" }, text));
    made.title = text;
  } else { made.textContent = text; }
  return made;
}

/* A sign of lines in a field of 24 by 24. */
function drawn(lines) {
  const svg = document.createElementNS(SVG, "svg"), path = document.createElementNS(SVG, "path");
  svg.setAttribute("viewBox", "0 0 24 24"); svg.setAttribute("aria-hidden", "true"); svg.setAttribute("focusable", "false");
  path.setAttribute("d", lines);
  svg.append(path);
  return svg;
}

function label(made, text) {
  const hidden = made.querySelector(".hidden");
  if (hidden) { hidden.textContent = text; made.title = text; } else { made.textContent = text; }
}

function row(kind, ...inside) {
  const made = make("div", { class: "viewer-row " + kind });
  made.append(...inside);
  return made;
}
