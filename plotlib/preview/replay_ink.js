"use strict";
/* Ink on a sheet, pixel by pixel, in linear light. For each pen an array holds how much ink lies on
 * each pixel: 1 is one whole pass. A segment adds what its round pen covers of a pixel, seen through
 * a small bell (a Gaussian), so that lines thinner than a pixel are as dark wherever they lie. Within
 * one pass of a stroke a pixel gets the most that any segment gives it, so that joins and fine steps
 * count once; a stroke that comes back later counts again. What was added can be taken away, so that
 * time runs both ways. */
class Ink {
  constructor(strokes, pens) {
    this.strokes = strokes; // {x, y} in mm by index, offsets, pens
    this.pens = pens; // width in mm, kept (3), paint (3)
    this.most = 8; // passes that are told apart
    this.fine = 64; // steps in a pass
    this.tables = pens.map((pen) => this.losses(pen));
    this.bytes = new Uint8ClampedArray(4097); // sRGB (IEC 61966-2-1) of linear light
    for (let i = 0; i <= 4096; i++) {
      const v = i / 4096;
      this.bytes[i] = 255 * (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055);
    }
    this.view = null;
  }

  losses(pen) { // what so much ink keeps of each colour
    const table = new Float32Array(3 * (this.most * this.fine + 1));
    for (let i = 0; i <= this.most * this.fine; i++) {
      for (let c = 0; c < 3; c++) {
        const amount = i / this.fine;
        const kept = pen.kept[c];
        table[3 * i + c] = amount < 1 ? 1 - amount * (1 - kept) : kept ** amount;
      }
    }
    return table;
  }

  look(view) { // a new view: scale in px for a mm, x and y of the page's corner, size
    const count = view.width * view.height;
    if (!this.view || this.view.width !== view.width || this.view.height !== view.height) {
      this.amounts = this.pens.map(() => new Float32Array(count));
      this.given = new Float32Array(count);
      this.reached = new Float64Array(count);
      this.image = new ImageData(view.width, view.height);
    }
    this.view = view;
    this.brushes = this.pens.map((pen) => this.brush((pen.width * view.scale) / 2));
    this.clear();
  }

  clear() {
    for (const amount of this.amounts) amount.fill(0);
    this.reached.fill(-Infinity);
    this.begun = performance.now();
    this.way = 0; // px that the pen has gone, with a gap between strokes
    this.cursor = 0; // points that are inked
    this.stroke = 0;
    this.dirty = [0, 0, this.view.width, this.view.height];
  }

  brush(radius) { // how much a line gives at a distance from its middle
    const sigma = radius < 1 ? 0.577 : 0.456;
    const reach = radius + 2.5 * sigma;
    const steps = 32;
    const given = new Float32Array(Math.ceil(reach * steps) + 2);
    let area = 0;
    for (let i = 0; i < given.length; i++) {
      const d = i / steps;
      given[i] = bell((d + radius) / sigma) - bell((d - radius) / sigma);
      area += given[i] * 2 * Math.PI * d / steps;
    }
    return { radius, reach, steps, given, end: Math.min(1, (Math.PI * radius * radius) / area) };
  }

  /* Go towards the state in which ``target`` points are inked, until ``deadline``; true when there. */
  step(target, deadline) {
    const { offsets } = this.strokes;
    let count = 0;
    while (this.cursor !== target) {
      if ((++count & 63) === 0 && performance.now() > deadline) return false;
      if (this.cursor > target) {
        const first = offsets[this.stroke];
        if (this.cursor - target > target || this.cursor - first > 20000) this.clear();
        else this.unink();
        continue;
      }
      while (this.cursor >= offsets[this.stroke + 1]) this.stroke++;
      this.point(this.stroke, this.cursor, 1);
      this.cursor++;
    }
    return true;
  }

  unink() { // take the last stroke away, as far as it was drawn
    const { offsets } = this.strokes;
    while (this.cursor <= offsets[this.stroke]) this.stroke--;
    const first = offsets[this.stroke];
    for (let i = first; i < this.cursor; i++) this.point(this.stroke, i, -1);
    this.cursor = first;
  }

  point(stroke, i, sign) {
    const { x, y, offsets, pens } = this.strokes;
    const { scale, left, top } = this.view;
    const first = offsets[stroke];
    if (i === first) this.way += 1e4;
    const from = i === first ? i : i - 1;
    if (i === first && offsets[stroke + 1] > first + 1) return;
    this.segment(
      (x(from) - left) * scale, (top - y(from)) * scale,
      (x(i) - left) * scale, (top - y(i)) * scale, pens[stroke], sign,
    );
  }

  segment(x0, y0, x1, y1, pen, sign) {
    const { radius, reach, steps, given, end } = this.brushes[pen];
    const { width, height } = this.view;
    const dx = x1 - x0;
    const dy = y1 - y0;
    const length = Math.sqrt(dx * dx + dy * dy);
    const begin = this.way;
    this.way += length;
    const west = Math.max(0, Math.floor(Math.min(x0, x1) - reach));
    const east = Math.min(width - 1, Math.ceil(Math.max(x0, x1) + reach));
    const north = Math.max(0, Math.floor(Math.min(y0, y1) - reach));
    const south = Math.min(height - 1, Math.ceil(Math.max(y0, y1) + reach));
    if (west > east || north > south) return;
    const dirty = this.dirty;
    if (west < dirty[0]) dirty[0] = west;
    if (north < dirty[1]) dirty[1] = north;
    if (east >= dirty[2]) dirty[2] = east + 1;
    if (south >= dirty[3]) dirty[3] = south + 1;
    const amount = this.amounts[pen];
    const reached = this.reached;
    const before = this.given;
    const inverse = length > 0 ? 1 / (length * length) : 0;
    const flat = Math.abs(dx) >= Math.abs(dy); // u runs along the longer side, v across
    const u0 = flat ? x0 : y0;
    const v0 = flat ? y0 : x0;
    const du = flat ? dx : dy;
    const dv = flat ? dy : dx;
    const slope = du ? dv / du : 0;
    const beside = du ? (reach * length) / Math.abs(du) : reach;
    const same = 2 * radius + 4; // px of way within which the pen has not left a pixel
    const [firstU, lastU, firstV, lastV] = flat ? [west, east, north, south] : [north, south, west, east];
    const strideU = flat ? 1 : width;
    const strideV = flat ? width : 1;
    const low = Math.min(0, du);
    const high = Math.max(0, du);
    for (let u = firstU; u <= lastU; u++) {
      const pu = u + 0.5 - u0;
      const middle = v0 + Math.min(Math.max(pu, low), high) * slope;
      const last = Math.min(lastV, Math.ceil(middle + beside));
      for (let v = Math.max(firstV, Math.floor(middle - beside - 1)); v <= last; v++) {
        const pv = v + 0.5 - v0;
        let t = (pu * du + pv * dv) * inverse;
        const beyond = t <= 0 || t >= 1;
        t = t < 0 ? 0 : t > 1 ? 1 : t;
        const eu = pu - t * du;
        const ev = pv - t * dv;
        const away = Math.sqrt(eu * eu + ev * ev);
        if (away >= reach) continue;
        let gift = given[(away * steps + 0.5) | 0];
        if (beyond) gift *= end;
        const index = u * strideU + v * strideV;
        const at = begin + t * length;
        const had = at - reached[index] <= same ? before[index] : 0;
        reached[index] = at;
        if (gift > had) {
          before[index] = gift;
          amount[index] += sign * (gift - had);
        } else {
          before[index] = had;
        }
      }
    }
  }

  /* Mix the inks of the pixels that changed into the image; their rectangle. */
  mix() {
    const [west, north, east, south] = this.dirty;
    this.dirty = [this.view.width, this.view.height, 0, 0];
    if (west >= east || north >= south) return null;
    const { width, sheet, paper, desk, cover } = this.view;
    const data = this.image.data;
    const top = this.most * this.fine;
    for (let row = north; row < south; row++) {
      for (let column = west; column < east; column++) {
        const index = row * width + column;
        const inside = column >= sheet[0] && column < sheet[2] && row >= sheet[1] && row < sheet[3];
        // how much of the pixel is paper: of a sheet that does not fill the page a part at its edge
        const share = cover ? cover[index] / 255 : Number(inside);
        let red = desk[0] + (paper[0] - desk[0]) * share;
        let green = desk[1] + (paper[1] - desk[1]) * share;
        let blue = desk[2] + (paper[2] - desk[2]) * share;
        let inked = share === 1;
        for (let p = 0; p < this.pens.length; p++) {
          const amount = this.amounts[p][index];
          if (amount < 0.004) continue;
          inked = true;
          const table = this.tables[p];
          const paint = this.pens[p].paint;
          const i = 3 * Math.min(top, (amount * this.fine + 0.5) | 0);
          red = red * table[i] + paint[0] * (1 - table[i]);
          green = green * table[i + 1] + paint[1] * (1 - table[i + 1]);
          blue = blue * table[i + 2] + paint[2] * (1 - table[i + 2]);
        }
        if (!inked && share > 0) [red, green, blue] = paper; // laid over the desk below
        const to = 4 * index;
        data[to] = this.bytes[(red * 4096) | 0];
        data[to + 1] = this.bytes[(green * 4096) | 0];
        data[to + 2] = this.bytes[(blue * 4096) | 0];
        data[to + 3] = inked ? 255 : 255 * share;
      }
    }
    return [west, north, east - west, south - north];
  }
}

function bell(z) { // the normal distribution (Abramowitz and Stegun 26.2.17), error below 1e-7
  const t = 1 / (1 + 0.2316419 * Math.abs(z));
  const sum = t * (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  const tail = Math.exp(-z * z / 2) / Math.sqrt(2 * Math.PI) * sum;
  return z > 0 ? 1 - tail : tail;
}

function linear(byte) { // linear light of an sRGB byte (IEC 61966-2-1)
  const v = byte / 255;
  return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
}
