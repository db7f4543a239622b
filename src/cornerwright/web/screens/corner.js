// A corner that follows a finger. One question is out at a time, and the next one asks for the finger's last place.
(() => {
  const GAP = 30, PATIENCE = 1500, OWN = 350, SPOKEN = 700;
  const C = (window.cwCorner = { number: 0, sent: 0, busy: false, wait: null, timer: 0, slid: 0, at: {} });
  const pose = () => document.querySelector(".pose");

  C.ask = (what) => {
    C.wait = { ...(C.wait || {}), ...what };
    go();
  };
  function go() {
    if (!C.wait || C.timer) return;
    const now = performance.now();
    if (C.busy && now - C.sent < PATIENCE) return;
    if (C.sent + GAP > now) {
      C.timer = setTimeout(() => { C.timer = 0; go(); }, C.sent + GAP - now);
      return;
    }
    C.busy = true;
    C.sent = now;
    const detail = { ...C.wait, n: ++C.number };
    C.wait = null;
    pose().dispatchEvent(new CustomEvent("ask", { detail }));
  }

  C.answer = (a) => {
    const box = pose();
    if (!box) return;
    const plate = box.querySelector(".drawing");
    if (a.d && a.d.length) {
      const row = plate.querySelector("svg > g"), all = [...row.children];
      for (const [k, look, text, kind] of a.d) {
        let e = all[k];
        if (kind === "") { e.remove(); continue; }
        if (kind !== null) {
          const other = document.createElementNS("http://www.w3.org/2000/svg", kind);
          e ? e.replaceWith(other) : row.appendChild(other);
          e = all[k] = other;
        }
        for (const [name, value] of Object.entries(look))
          value === null ? e.removeAttribute(name) : e.setAttribute(name, value);
        if (text !== null) e.textContent = text;
      }
    }
    for (const [name, text, level] of a.t || []) {
      const e = box.querySelector('[data-t="' + name + '"]');
      if (e) { e.textContent = text; e.dataset.level = level; }
    }
    const slid = performance.now() - C.slid < OWN;
    for (const [name, value] of Object.entries(a.v)) {
      C.at[name] = value;
      const e = box.querySelector('input[data-handle="' + name + '"]');
      if (!e) continue;
      if (!slid) e.value = value;
      e.setAttribute("aria-valuetext", value + " " + e.dataset.unit);
    }
    const title = plate.querySelector("title");
    if (title) title.textContent = a.l;
    clearTimeout(C.spoken);
    C.spoken = setTimeout(() => { box.querySelector(".spoken").textContent = a.l; }, SPOKEN);
    if (C.solid) C.solid.show(a);
    if (a.n === undefined || a.n === C.number) C.busy = false;
    go();
  };

  C.slide = (e) => {
    C.slid = performance.now();
    C.ask({ [e.dataset.handle]: Number(e.value) });
  };
  C.to = (lift, across) => C.ask(across === undefined ? { lift } : { rack: 0, turn: 0 });

  // The handle beside the wheel: up and down, or, where the finger first goes sideways, lock.
  C.drag = (e) => {
    const g = e.currentTarget, d = g.dataset;
    if (e.type === "pointerdown") {
      g.setPointerCapture(e.pointerId);
      Object.assign(g, { from: [e.clientX, e.clientY], way: null, start: { ...C.at } });
    } else if (g.hasPointerCapture(e.pointerId)) {
      const x = e.clientX - g.from[0], y = g.from[1] - e.clientY;
      if (!g.way && Math.hypot(x, y) > 6) g.way = d.across && Math.abs(x) > Math.abs(y) ? d.across : "lift";
      const share = 1 / g.parentElement.clientWidth;
      if (g.way === "lift") C.ask({ lift: g.start.lift + y * share * Number(d.wide) });
      else if (g.way) C.ask({ [g.way]: g.start[g.way] - x * share * Number(d.aside) });
    }
  };

  // A tap that is held goes on.
  const again = (e) => {
    const tap = e.target.closest && e.target.closest("[data-hold]");
    if (!tap) return;
    clearInterval(C.held);
    const begun = performance.now();
    C.held = setInterval(() => {
      if (tap.disabled || !tap.isConnected) clearInterval(C.held);
      else if (performance.now() - begun > 450) tap.click();
    }, 140);
  };
  addEventListener("pointerdown", again);
  for (const end of ["pointerup", "pointercancel", "blur"]) addEventListener(end, () => clearInterval(C.held));
  addEventListener("contextmenu", (e) => { if (e.target.closest && e.target.closest("[data-hold]")) e.preventDefault(); });
})();
