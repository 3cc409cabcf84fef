(() => {
  const started = performance.now();
  const get = (id) => document.getElementById(id);
  const facts = JSON.parse(get("facts").textContent);

  function load(id, Kind) {
    const text = atob(get(id).textContent);
    const bytes = new Uint8Array(text.length);
    for (let i = 0; i < text.length; i++) bytes[i] = text.charCodeAt(i);
    get(id).remove();
    return new Kind(bytes.buffer);
  }

  const points = load("points", Uint16Array);
  const shares = load("shares", Uint16Array);
  const offsets = load("offsets", Uint32Array);
  const penOf = load("pens", Uint16Array);
  const draws = load("draws", Float32Array);
  const ends = load("ends", Uint16Array); // of the pen-up moves
  const leads = load("leads", Uint8Array); // 1 where a stroke follows
  const leaves = load("leaves", Float64Array);
  const travels = load("travels", Float32Array);
  const { duration, pens, step, totals } = facts;
  const strokes = offsets.length - 1;
  const [left, bottom, right, top] = facts.page;
  const x = (i) => points[2 * i] * step;
  const y = (i) => points[2 * i + 1] * step;
  const [begins, ways] = journey();
  const wayX = (i) => ways[2 * i] * step;
  const wayY = (i) => ways[2 * i + 1] * step;
  const ink = new Ink({ x, y, offsets, pens: penOf }, pens);

  /* When each stroke begins, and both ends of each pen-up move: it begins where the pen was. */
  function journey() {
    const when = new Float64Array(strokes);
    const both = new Uint16Array(4 * leads.length);
    let stroke = 0;
    let at = facts.home;
    for (let leg = 0; leg < leads.length; leg++) {
      const to = ends.subarray(2 * leg, 2 * leg + 2);
      both.set(at, 4 * leg);
      both.set(to, 4 * leg + 2);
      at = to;
      if (!leads[leg]) continue;
      when[stroke] = leaves[leg] + travels[leg] + facts.settle;
      stroke++;
      at = points.subarray(2 * offsets[stroke] - 2, 2 * offsets[stroke]);
    }
    return [when, both];
  }

  // ---- words

  function clock(seconds) {
    const whole = Math.round(seconds);
    const two = (n) => String(n).padStart(2, "0");
    const h = Math.floor(whole / 3600);
    const m = Math.floor(whole / 60) % 60;
    if (h) return `${h} h ${two(m)} min ${two(whole % 60)} s`;
    return m ? `${m} min ${two(whole % 60)} s` : `${whole % 60} s`;
  }
  const length = (mm) => (mm >= 1000 ? `${(mm / 1000).toFixed(2)} m` : `${mm.toFixed(0)} mm`);
  const number = (n) => n.toLocaleString("en");
  const many = (n, what) => `${number(n)} ${what}${n === 1 ? "" : "s"}`;

  function put(parent, tag, text = "", more = {}) {
    const node = document.createElement(tag);
    node.textContent = text;
    for (const [name, value] of Object.entries(more)) node.setAttribute(name, value);
    parent.append(node);
    return node;
  }

  // ---- the plot at a time

  function lastAtMost(array, value, count = array.length) { // the last index with array[index] <= value
    let low = -1;
    let high = count;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (array[middle] <= value) low = middle;
      else high = middle;
    }
    return low;
  }

  /* Where the pen is: points inked, the stroke, the leg, the place in mm, whether it is down. */
  function state(time) {
    const leg = Math.max(0, lastAtMost(leaves, time));
    const stroke = lastAtMost(begins, time, strokes);
    const isOn = stroke >= 0 && time < begins[stroke] + draws[stroke];
    const found = { leg, stroke, down: isOn, inked: stroke < 0 ? 0 : offsets[stroke + 1] };
    if (isOn) {
      const share = ((time - begins[stroke]) / draws[stroke]) * 65535;
      const first = offsets[stroke];
      const end = offsets[stroke + 1];
      let low = first;
      let high = end;
      while (high - low > 1) {
        const middle = (low + high) >> 1;
        if (shares[middle] <= share) low = middle;
        else high = middle;
      }
      const next = Math.min(low + 1, end - 1);
      const span = shares[next] - shares[low];
      const part = span > 0 ? Math.min(1, (share - shares[low]) / span) : 1;
      found.inked = low + 1;
      found.from = low;
      found.x = x(low) + (x(next) - x(low)) * part;
      found.y = y(low) + (y(next) - y(low)) * part;
      return found;
    }
    const spent = travels[leg] > 0 ? Math.min(1, (time - leaves[leg]) / travels[leg]) : 1;
    found.x = wayX(2 * leg) + (wayX(2 * leg + 1) - wayX(2 * leg)) * spent;
    found.y = wayY(2 * leg) + (wayY(2 * leg + 1) - wayY(2 * leg)) * spent;
    found.down = stroke >= 0 && spent >= 1 && time === begins[stroke];
    return found;
  }

  // ---- the view

  const desk = get("desk");
  const canvases = ["under", "ink", "ways", "over"].map(get);
  const [under, sheet, trails, over] = canvases.map((canvas) => canvas.getContext("2d"));
  const ratio = () => Math.min(window.devicePixelRatio || 1, 2);
  const paper = [1, 3, 5].map((i) => linear(parseInt(facts.paper.slice(i, i + 2), 16)));
  let view = null; // scale: px for a mm; left, top: mm at the canvas's corner; width, height: px
  let shown = null; // the view that the ink on the screen was drawn for
  let fitted = true;
  let trailed = { view: null, count: 0 }; // pen-up moves that are drawn

  function fit() {
    const edge = 34 * ratio();
    const width = Math.max(1, Math.round(desk.clientWidth * ratio()));
    const height = Math.max(1, Math.round(desk.clientHeight * ratio()));
    const scale = Math.max(0.01, Math.min((width - 2 * edge) / (right - left), (height - 2 * edge) / (top - bottom)));
    fitted = true;
    look(scale, (left + right) / 2 - width / 2 / scale, (bottom + top) / 2 + height / 2 / scale);
  }

  function look(scale, west, north) {
    const width = Math.max(1, Math.round(desk.clientWidth * ratio()));
    const height = Math.max(1, Math.round(desk.clientHeight * ratio()));
    const across = (mm) => Math.round((mm - west) * scale);
    const down = (mm) => Math.round((north - mm) * scale);
    const wood = getComputedStyle(document.documentElement).getPropertyValue("--desk").trim();
    view = {
      scale, left: west, top: north, width, height, paper,
      sheet: [across(left), down(top), across(right), down(bottom)],
      desk: [1, 3, 5].map((i) => linear(parseInt(wood.slice(i, i + 2), 16))),
    };
    view.cover = covered();
    for (const canvas of canvases) {
      if (canvas.id !== "ink") size(canvas);
    }
    ink.look(view);
    slide();
    drawUnder();
    wake();
  }

  function size(canvas) {
    if (canvas.width !== view.width || canvas.height !== view.height) {
      canvas.width = view.width;
      canvas.height = view.height;
    }
    canvas.style.width = `${view.width / ratio()}px`;
    canvas.style.height = `${view.height / ratio()}px`;
  }

  function slide() { // the old picture, moved and scaled, until the new one is inked
    if (!shown) return;
    const zoom = view.scale / shown.scale;
    const dx = ((shown.left - view.left) * view.scale) / ratio();
    const dy = ((view.top - shown.top) * view.scale) / ratio();
    get("ink").style.transform = `matrix(${zoom},0,0,${zoom},${dx},${dy})`;
  }

  function zoom(factor, px = view.width / 2, py = view.height / 2) {
    const least = 0.2 * Math.min(view.width / (right - left), view.height / (top - bottom));
    const scale = Math.min(Math.max(view.scale * factor, least), 200 * ratio());
    fitted = false;
    look(scale, view.left + px / view.scale - px / scale, view.top - py / view.scale + py / scale);
  }

  function pan(dx, dy) {
    fitted = false;
    look(view.scale, view.left - dx / view.scale, view.top + dy / view.scale);
  }

  const across = (mm) => (mm - view.left) * view.scale;
  const down = (mm) => (view.top - mm) * view.scale;
  const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

  function trace(canvas, rings) { // one path of closed rings in mm
    canvas.beginPath();
    for (const ring of rings) {
      for (const [n, [mx, my]] of ring.entries()) {
        if (n) canvas.lineTo(across(mx), down(my));
        else canvas.moveTo(across(mx), down(my));
      }
      canvas.closePath();
    }
  }

  function covered() { // 0 to 255 of each pixel: the paper; null where it fills the page
    if (!facts.outline) return null;
    const canvas = new OffscreenCanvas(view.width, view.height).getContext("2d");
    trace(canvas, facts.outline);
    canvas.fill("evenodd");
    const data = canvas.getImageData(0, 0, view.width, view.height).data;
    const cover = new Uint8Array(view.width * view.height);
    for (let i = 0; i < cover.length; i++) cover[i] = data[4 * i + 3];
    return cover;
  }

  function drawUnder() { // the bed, and the sheet with its shadow
    const [west, north, east, south] = view.sheet;
    under.clearRect(0, 0, view.width, view.height);
    under.strokeStyle = colour("--mark");
    under.globalAlpha = 0.55;
    under.lineWidth = ratio();
    under.setLineDash([2 * ratio(), 4 * ratio()]);
    under.strokeRect(across(0), down(facts.bed[1]), facts.bed[0] * view.scale, facts.bed[1] * view.scale);
    under.setLineDash([]);
    under.globalAlpha = 1;
    under.save();
    under.shadowColor = colour("--shade");
    under.shadowBlur = 14 * ratio();
    under.shadowOffsetY = 4 * ratio();
    under.fillStyle = facts.paper;
    if (facts.outline) {
      trace(under, facts.outline);
      under.fill("evenodd");
    } else {
      under.fillRect(west, north, east - west, south - north);
    }
    under.restore();
  }

  function drawOver(now) {
    over.clearRect(0, 0, view.width, view.height);
    drawSheetMarks();
    if (ruler.checked) drawRuler();
    if (travel.checked && leads.length) drawWay(now);
    if (now.from !== undefined) drawRest(now);
    if (time < duration) drawPen(now);
  }

  function drawSheetMarks() {
    over.strokeStyle = "#8a7a60";
    over.lineWidth = ratio();
    over.globalAlpha = 0.6;
    if (facts.margin > 0) {
      const m = facts.margin;
      over.setLineDash([ratio(), 5 * ratio()]);
      if (facts.inner) trace(over, facts.inner);
      else {
        over.beginPath();
        over.rect(across(left + m), down(top - m), (right - left - 2 * m) * view.scale, (top - bottom - 2 * m) * view.scale);
      }
      over.stroke();
    }
    over.setLineDash([5 * ratio(), 3 * ratio()]);
    over.strokeStyle = "#a03c28";
    for (const ring of facts.keepOuts) {
      over.beginPath();
      for (const [mx, my] of ring) over.lineTo(across(mx), down(my));
      over.stroke();
    }
    over.setLineDash([]);
    over.globalAlpha = 1;
  }

  /* The pen-up moves up to now, some thousands in a frame; true when all are there. */
  function drawTravel(now) {
    const wanted = travel.checked ? now.leg : 0;
    if (trailed.view !== view || trailed.count > wanted) {
      trails.clearRect(0, 0, view.width, view.height);
      trailed = { view, count: 0 };
    }
    const next = Math.min(wanted, trailed.count + 4000);
    if (next > trailed.count) {
      trails.beginPath();
      for (let i = trailed.count; i < next; i++) way(trails, i);
      trails.stroke();
    }
    trailed.count = next;
    return next === wanted;
  }

  function way(canvas, leg, x1 = wayX(2 * leg + 1), y1 = wayY(2 * leg + 1)) {
    canvas.strokeStyle = "rgb(176 57 43 / 55%)";
    canvas.lineWidth = ratio();
    canvas.moveTo(across(wayX(2 * leg)), down(wayY(2 * leg)));
    canvas.lineTo(across(x1), down(y1));
  }

  function drawWay(now) { // the move that is being made
    const isOn = now.stroke < 0 || begins[now.stroke] < leaves[now.leg];
    over.beginPath();
    if (isOn) way(over, now.leg, now.x, now.y);
    else way(over, now.leg);
    over.stroke();
  }

  function drawRest(now) { // the part of a segment that the pen has gone
    const pen = pens[penOf[now.stroke]];
    over.strokeStyle = pen.colour;
    over.lineCap = "round";
    over.lineWidth = Math.max(pen.width * view.scale, 1);
    over.beginPath();
    over.moveTo(across(x(now.from)), down(y(now.from)));
    over.lineTo(across(now.x), down(now.y));
    over.stroke();
  }

  function drawPen(now) { // a ring of the pen's colour, filled while it is down
    const next = now.down ? now.stroke : Math.min(now.stroke + 1, strokes - 1);
    const pen = pens.length ? pens[penOf[Math.max(next, 0)]] : { colour: "#555555" };
    const px = across(now.x);
    const py = down(now.y);
    over.lineWidth = 5 * ratio();
    over.strokeStyle = "#fffdf8";
    over.beginPath();
    over.arc(px, py, 8 * ratio(), 0, 7);
    over.stroke();
    over.lineWidth = 2.5 * ratio();
    over.strokeStyle = pen.colour;
    over.stroke();
    if (now.down) {
      over.fillStyle = pen.colour;
      over.beginPath();
      over.arc(px, py, 3 * ratio(), 0, 7);
      over.fill();
    }
  }

  function drawRuler() { // millimetres of the sheet along the desk's upper and left edges
    const band = 20 * ratio();
    const steps = [1, 2, 5, 10, 20, 50, 100, 200, 500];
    const fine = steps.find((s) => s * view.scale >= 5 * ratio()) || 500;
    const named = steps.find((s) => s * view.scale >= 45 * ratio() && s % fine === 0) || 1000;
    over.fillStyle = colour("--card");
    over.globalAlpha = 0.92;
    over.fillRect(0, 0, view.width, band);
    over.fillRect(0, 0, band, view.height);
    over.globalAlpha = 1;
    over.strokeStyle = colour("--mark");
    over.fillStyle = colour("--mark");
    over.lineWidth = ratio();
    over.font = `${11 * ratio()}px Georgia, serif`;
    over.textBaseline = "top";
    over.beginPath();
    tick(view.left + band / view.scale - left, view.width / view.scale, fine, (mm) => {
      const px = across(left + mm);
      over.moveTo(px, band);
      over.lineTo(px, band - (mm % named === 0 ? 12 : 5) * ratio());
      if (mm % named === 0) over.fillText(String(mm), px + 3 * ratio(), 2 * ratio());
    });
    tick(view.top - view.height / view.scale - bottom, (view.height - band) / view.scale, fine, (mm) => {
      const py = down(bottom + mm);
      over.moveTo(band, py);
      over.lineTo(band - (mm % named === 0 ? 12 : 5) * ratio(), py);
      if (mm % named !== 0) return;
      over.save();
      over.translate(2 * ratio(), py - 3 * ratio());
      over.rotate(-Math.PI / 2);
      over.fillText(String(mm), 0, 0);
      over.restore();
    });
    over.stroke();
    over.fillText("mm", 2 * ratio(), 4 * ratio());
  }

  function tick(from, span, every, mark) {
    for (let mm = Math.ceil(from / every) * every; mm < from + span; mm += every) mark(Math.round(mm));
  }

  // ---- time

  const slider = get("slider");
  const play = get("play");
  const travel = get("travel");
  const ruler = get("ruler");
  const pace = get("pace");
  const calm = window.matchMedia("(prefers-reduced-motion: reduce)");
  let time = duration;
  let playing = false;
  let before = 0;
  let asked = 0;
  let busy = true;
  let first = 0;

  function rate() {
    return pace.value === "half" ? Math.max(duration / 30, 1e-3) : Number(pace.value);
  }

  function seek(seconds, word = true) {
    time = Math.min(Math.max(seconds, 0), duration);
    tell(word);
    wake();
  }

  function start() {
    if (time >= duration) time = 0;
    playing = true;
    before = performance.now();
    play.textContent = "Pause";
    say(`playing, from ${clock(time)}`);
    wake();
  }

  function stop() {
    playing = false;
    play.textContent = "Play";
    tell(true);
    say(`paused: ${where()}`);
    wake();
  }

  function wake() {
    busy = true;
    if (!asked) asked = requestAnimationFrame(frame);
  }

  function frame(moment) {
    asked = 0;
    const since = moment - before;
    if (playing && since >= (calm.matches ? 1000 : 0)) { // in calm steps of a second
      before = moment;
      time = Math.min(duration, time + (Math.max(since, 0) / 1000) * rate());
      tell(false);
      if (time >= duration) stop();
    }
    const now = state(time);
    const trailing = !drawTravel(now);
    const there = ink.step(now.inked, performance.now() + (first ? 14 : 60));
    const moved = shown !== view;
    // The old picture stays a moment while a new one is begun, unless it is the first.
    if (there || !first || performance.now() - ink.begun > (moved ? 1500 : 500)) paint(moved);
    drawOver(now);
    busy = !there || trailing;
    if (there && !first) first = performance.now() - started;
    if (playing || busy) asked = requestAnimationFrame(frame);
  }

  function paint(moved) {
    if (moved) {
      size(get("ink"));
      get("ink").style.transform = "none";
      shown = view;
    }
    const part = ink.mix();
    if (part) sheet.putImageData(ink.image, 0, 0, ...part);
  }

  // ---- what is told

  function where() {
    const now = state(time);
    const pen = pens.length && now.stroke >= 0 ? `, pen ${pens[penOf[now.stroke]].name}` : "";
    return `${clock(time)} of ${clock(duration)}${pen}, ${number(now.stroke + 1)} of ${many(strokes, "stroke")}`;
  }

  const lines = [];
  let reached = null;

  function tell(word) {
    slider.value = duration > 0 ? (1000 * time) / duration : 1000;
    const now = state(time);
    get("clock").textContent = `${clock(time)} of ${clock(duration)}`;
    if (word || Math.abs(performance.now() - tell.last) > 1000) {
      slider.setAttribute("aria-valuetext", where());
      get("ink").setAttribute("aria-label", `The drawing at ${where()}`);
      tell.last = performance.now();
    }
    if (reached === now.stroke) return;
    reached = now.stroke;
    for (const [p, line] of lines.entries()) {
      const done = drawnOf(p, now.stroke);
      line.bar.value = done;
      line.text.textContent = `${number(done)} of ${many(pens[p].strokes, "stroke")}, ${length(pens[p].ink)}`;
      if (now.stroke >= 0 && penOf[now.stroke] === p && time < duration) line.item.setAttribute("aria-current", "true");
      else line.item.removeAttribute("aria-current");
    }
  }
  tell.last = 0;

  function drawnOf(pen, stroke) { // the pens come one after another
    let from = 0;
    for (let p = 0; p < pen; p++) from += pens[p].strokes;
    return Math.min(Math.max(stroke + 1 - from, 0), pens[pen].strokes);
  }

  function say(text) {
    get("told").textContent = text;
  }

  function furnish() { // the words on the card
    const mm = (v) => String(Math.round(v * 10) / 10);
    get("size").textContent = `${mm(right - left)} × ${mm(top - bottom)} mm ${facts.sheet ? "sheet" : "bed"}, ${clock(duration)}`;
    const list = get("penlist");
    for (const pen of pens) {
      const item = put(list, "li");
      const width = Math.min(Math.max(pen.width * 4, 1), 14);
      item.innerHTML = `<svg width="32" height="16" aria-hidden="true"><rect width="32" height="16" rx="2" fill="${facts.paper}"/><path d="M5 ${8}h22" stroke="${pen.colour}" stroke-width="${width}" stroke-linecap="round"/></svg>`;
      put(item, "strong", pen.name);
      put(item, "span", ` ${pen.width} mm`);
      const text = put(item, "small");
      const bar = put(item, "progress", "", { max: pen.strokes, "aria-label": `strokes of ${pen.name} drawn` });
      lines.push({ item, text, bar });
    }
    if (!pens.length) put(list, "li", "Nothing is drawn.");
    const rows = [
      ["Time", clock(duration)],
      ["Drawing", `${length(totals.ink)}, ${clock(totals.drawing)}`],
      ["Travel", `${length(totals.travel)}, ${clock(totals.travelling)}`],
      ["Lifts", `${number(totals.strokes)}, ${clock(totals.lifting)}`],
    ];
    if (totals.waiting > 0) rows.push(["Waiting", clock(totals.waiting)]);
    if (totals.changes > 0) rows.push(["Pen changes", `${totals.changes}, not in the time`]);
    for (const [name, value] of rows) {
      put(get("totals"), "dt", name);
      put(get("totals"), "dd", value);
    }
    for (const note of facts.notes) put(get("notes"), "p", note);
    stripe();
  }

  function stripe() { // which pen draws when, above the slider
    const stops = [];
    for (let k = 0, from = 0; k < strokes; k++) {
      if (k + 1 < strokes && penOf[k + 1] === penOf[k]) continue;
      const to = k + 1 < strokes ? (100 * begins[k + 1]) / duration : 100;
      stops.push(`${pens[penOf[k]].colour} ${from}% ${to}%`);
      from = to;
    }
    if (stops.length) get("stripe").style.backgroundImage = `linear-gradient(to right, ${stops.join(", ")})`;
  }

  // ---- hands

  slider.addEventListener("input", () => {
    if (playing) stop();
    seek((slider.value / 1000) * duration);
  });
  play.addEventListener("click", () => (playing ? stop() : start()));
  travel.addEventListener("change", wake);
  ruler.addEventListener("change", wake);
  get("nearer").addEventListener("click", () => zoom(1.5));
  get("farther").addEventListener("click", () => zoom(1 / 1.5));
  get("fit").addEventListener("click", fit);
  desk.addEventListener("wheel", (event) => {
    event.preventDefault();
    const box = desk.getBoundingClientRect();
    zoom(Math.exp(-event.deltaY / 400), (event.clientX - box.left) * ratio(), (event.clientY - box.top) * ratio());
  }, { passive: false });

  const fingers = new Map();
  desk.addEventListener("pointerdown", (event) => {
    if (event.target.closest("button")) return;
    fingers.set(event.pointerId, event);
    desk.setPointerCapture(event.pointerId);
  });
  desk.addEventListener("pointermove", (event) => {
    const old = fingers.get(event.pointerId);
    if (!old) return;
    fingers.set(event.pointerId, event);
    if (fingers.size === 1) {
      pan((event.clientX - old.clientX) * ratio(), (event.clientY - old.clientY) * ratio());
      return;
    }
    const other = [...fingers.values()].find((finger) => finger.pointerId !== event.pointerId);
    const span = (finger) => Math.hypot(finger.clientX - other.clientX, finger.clientY - other.clientY);
    const box = desk.getBoundingClientRect();
    zoom(span(event) / Math.max(span(old), 1), (other.clientX - box.left) * ratio(), (other.clientY - box.top) * ratio());
  });
  for (const end of ["pointerup", "pointercancel"]) {
    desk.addEventListener(end, (event) => fingers.delete(event.pointerId));
  }

  function stepTo(by) { // to the end of the stroke before or after
    if (playing) stop();
    const now = state(time);
    const at = Math.min(now.stroke + by, strokes - 1);
    seek(at < 0 ? 0 : begins[at] + draws[at]);
    say(where());
  }

  const keys = {
    " ": () => play.click(),
    ",": () => stepTo(-1),
    ".": () => stepTo(state(time).down ? 0 : 1),
    Home: () => seek(0),
    End: () => seek(duration),
    "+": () => zoom(1.5),
    "=": () => zoom(1.5),
    "-": () => zoom(1 / 1.5),
    "0": fit,
    t: () => travel.click(),
    r: () => ruler.click(),
  };
  const arrows = { ArrowLeft: [40, 0], ArrowRight: [-40, 0], ArrowUp: [0, 40], ArrowDown: [0, -40] };

  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const own = event.target.closest("button, select, summary, input[type=checkbox]");
    if (own && (event.key === " " || event.target.closest("select"))) return;
    if (event.target === desk && event.key in arrows) {
      pan(...arrows[event.key].map((px) => px * ratio()));
    } else if (event.key in keys && !(event.target === slider && event.key.length > 1)) {
      keys[event.key]();
    } else {
      return;
    }
    event.preventDefault();
  });

  new ResizeObserver(() => (fitted ? fit() : look(view.scale, view.left, view.top))).observe(desk);
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => look(view.scale, view.left, view.top));
  document.fonts?.ready.then(wake);

  furnish();
  fit();
  tell(true);

  // For pages round this one, and for tests.
  window.replay = {
    seek, start, stop, duration,
    get time() { return time; },
    get busy() { return busy || asked !== 0; },
    get playing() { return playing; },
    get firstDrawing() { return first; },
    get view() { return view; },
  };
})();
