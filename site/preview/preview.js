"use strict";
// Put into pages by the preview alone: asks what stands, reloads the page at the same place, shows what is wrong.
(() => {
  const script = document.currentScript, own = script.dataset.own, texts = JSON.parse(script.dataset.texts);
  const KEPT = "benchleaf-preview-place", EVERY_MS = 500;
  const note = document.createElement("section");
  note.className = "preview-note";
  note.setAttribute("role", "status");
  note.hidden = true;
  let made = null, shown = "", small = false;

  // ---- the place on the page
  const details = () => [...document.querySelectorAll("details")];
  const nameOf = d => {
    const holder = d.closest("[id]"), inside = holder ? [...holder.querySelectorAll("details")] : details();
    return `${holder ? holder.id : ""}/${inside.indexOf(d)}`;
  };
  function keep() {
    const top = [...document.querySelectorAll("main [id]")].reverse().find(e => e.getClientRects().length && e.getBoundingClientRect().top <= 1);
    const place = {
      page: location.pathname + location.hash,
      y: scrollY,
      id: top ? top.id : "",
      below: top ? top.getBoundingClientRect().top : 0,
      open: details().filter(d => d.open).map(nameOf),
      shut: details().filter(d => !d.open).map(nameOf),
    };
    try { sessionStorage.setItem(KEPT, JSON.stringify(place)); } catch { /* then it opens at its beginning */ }
  }
  function back() {
    let place = null;
    try { place = JSON.parse(sessionStorage.getItem(KEPT)); sessionStorage.removeItem(KEPT); } catch { return; }
    if (!place || place.page !== location.pathname + location.hash) return;
    for (const d of details()) {
      const name = nameOf(d);
      if (place.open.includes(name)) d.open = true;
      else if (place.shut.includes(name)) d.open = false;
    }
    const at = place.id && document.getElementById(place.id);
    const y = at ? scrollY + at.getBoundingClientRect().top - place.below : place.y;
    scrollTo({ top: y, behavior: "instant" });
  }
  if ("scrollRestoration" in history && sessionStorage.getItem(KEPT)) history.scrollRestoration = "manual";
  addEventListener("load", () => requestAnimationFrame(back));

  // ---- what is wrong
  function add(parent, name, text, kind = "") {
    const e = document.createElement(name);
    if (kind) e.className = kind;
    e.textContent = text;
    parent.append(e);
    return e;
  }
  function show(told) {
    const now = JSON.stringify([told.busy, told.faults, told.more, small]);
    if (now === shown) return;
    shown = now;
    note.replaceChildren();
    note.hidden = !told.busy && !told.faults.length;
    note.classList.toggle("busy", !told.faults.length);
    if (!told.faults.length) { if (told.busy) note.textContent = texts.busy; return; }
    const count = told.faults.length + told.more, first = add(note, "p", "", "first");
    add(first, "strong", count === 1 ? texts.one : texts.other.replace("{count}", count));
    add(first, "span", told.busy ? texts.busy : told.made ? texts.old : texts.none_yet, "small");
    const button = add(first, "button", small ? texts.show : texts.hide);
    button.type = "button";
    button.addEventListener("click", () => { small = !small; show(told); });
    if (small) return;
    const list = add(note, "ol", "");
    for (const f of told.faults) {
      const line = add(list, "li", "");
      if (f.where) add(line, "span", f.where, "at");
      add(line, "span", f.where ? `${texts.found} ${f.found}.` : f.found);
      if (f.allowed) add(line, "span", ` ${texts.allowed} ${f.allowed}.`, "small");
      if (f.fix) { line.append(" "); add(line, "strong", `${texts.fix} ${f.fix}`); }
    }
    if (told.more) add(note, "p", texts.more.replace("{count}", told.more), "small");
  }

  async function ask() {
    try {
      const told = await (await fetch(`${own}state`)).json();
      if (made === null) made = told.made;
      if (told.made !== made) { keep(); location.reload(); return; }
      show(told);
    } catch {
      shown = "";
      note.hidden = false;
      note.classList.add("busy");
      note.textContent = texts.gone;
    }
    setTimeout(ask, EVERY_MS);
  }
  addEventListener("DOMContentLoaded", () => { document.body.append(note); ask(); });
})();
