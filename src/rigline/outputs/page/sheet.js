// A sheet of the drawing on its desk: pan, zoom and pinch, what lies under a finger, and the marker over what is chosen.
// Knows the groups of the drawing (data-id, data-finding) and nothing else of the page.
'use strict';

const SVG = 'http://www.w3.org/2000/svg';
const PIXELS_PER_MM = 96 / 25.4; // CSS Values and Units Level 4, 6.2: 1in is 96px
const LARGEST_SCALE = 8; // of true size
const READABLE_SCALE = 0.95; // lettering of 2.5 mm is then 9 px high
const SMALL_SCALE = 0.5; // below it, what is chosen is brought nearer
const REACH_PX = 18; // a finger misses by as much
const TAP_PX = 7; // a finger that moves less has not dragged
const MARGIN_PX = 8;

const clamp = (value, low, high) => Math.min(Math.max(value, low), high);

class Sheet {
  constructor(section, onTap) {
    this.section = section;
    this.svg = section.querySelector('svg');
    this.onTap = onTap;
    [this.widthMm, this.heightMm] = this.svg.getAttribute('viewBox').split(' ').slice(2).map(Number);
    this.scale = 0;
    this.x = 0;
    this.y = 0;
    this.fitted = true;
    this.pointers = new Map();
    this.shapes = null;
    this.groups = [...this.svg.querySelectorAll('[data-id], [data-finding]')];
    for (const group of this.groups) group.setAttribute('role', 'button');
    this.listen();
  }

  fitScale() {
    const { clientWidth: width, clientHeight: height } = this.section;
    const room = (pixels, mm) => (pixels - 2 * MARGIN_PX) / (mm * PIXELS_PER_MM);
    return Math.max(Math.min(room(width, this.widthMm), room(height, this.heightMm)), 0.02);
  }

  fit() {
    this.scale = this.fitScale();
    this.fitted = true;
    this.center(this.widthMm / 2, this.heightMm / 2);
  }

  center(xMm, yMm) {
    const perMm = this.scale * PIXELS_PER_MM;
    this.x = this.section.clientWidth / 2 - xMm * perMm;
    this.y = this.section.clientHeight / 2 - yMm * perMm;
    this.apply();
  }

  /** Puts the sheet where it is said to be, but never out of sight. */
  apply() {
    const { clientWidth: width, clientHeight: height } = this.section;
    const perMm = this.scale * PIXELS_PER_MM;
    this.x = clamp(this.x, width / 2 - this.widthMm * perMm, width / 2);
    this.y = clamp(this.y, height / 2 - this.heightMm * perMm, height / 2);
    this.svg.style.width = `${this.widthMm * PIXELS_PER_MM}px`;
    this.svg.style.height = `${this.heightMm * PIXELS_PER_MM}px`;
    this.svg.style.transform = `translate(${this.x}px, ${this.y}px) scale(${this.scale})`;
  }

  move(dx, dy) {
    this.x += dx;
    this.y += dy;
    this.fitted = false;
    this.apply();
  }

  zoom(factor, x = this.section.clientWidth / 2, y = this.section.clientHeight / 2) {
    const scale = clamp(this.scale * factor, this.fitScale() * 0.8, LARGEST_SCALE);
    this.x = x - ((x - this.x) * scale) / this.scale;
    this.y = y - ((y - this.y) * scale) / this.scale;
    this.scale = scale;
    this.fitted = false;
    this.apply();
  }

  resized() {
    if (!this.section.clientWidth || this.section.hidden) return;
    if (this.fitted) this.fit();
    else this.apply();
  }

  // Pointers: one drags, two pinch, one that stays taps.

  listen() {
    const { section } = this;
    section.addEventListener('pointerdown', (event) => this.down(event));
    section.addEventListener('pointermove', (event) => this.moved(event));
    section.addEventListener('pointerup', (event) => this.up(event, true));
    section.addEventListener('pointercancel', (event) => this.up(event, false));
    section.addEventListener('wheel', (event) => this.wheel(event), { passive: false });
    section.addEventListener('click', (event) => {
      // A click without a pointer comes from a reading aid that presses the group itself.
      const group = event.detail === 0 && event.target.closest('[data-id], [data-finding]');
      if (group) this.onTap(group);
    });
  }

  place(event) {
    const box = this.section.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  }

  down(event) {
    if (event.button !== 0) return;
    this.section.setPointerCapture(event.pointerId);
    if (!this.pointers.size) this.dragged = false;
    this.pointers.set(event.pointerId, this.place(event));
    this.start = this.place(event);
    if (this.pointers.size > 1) this.dragged = true;
  }

  moved(event) {
    const before = this.pointers.get(event.pointerId);
    if (!before) return;
    const now = this.place(event);
    if (Math.hypot(now.x - this.start.x, now.y - this.start.y) > TAP_PX) this.dragged = true;
    if (!this.dragged) return;
    this.section.classList.add('dragged');
    const other = [...this.pointers].find(([id]) => id !== event.pointerId)?.[1];
    if (other) {
      const spread = Math.hypot(now.x - other.x, now.y - other.y) / (Math.hypot(before.x - other.x, before.y - other.y) || 1);
      this.zoom(spread, (now.x + other.x) / 2, (now.y + other.y) / 2);
      this.move((now.x - before.x) / 2, (now.y - before.y) / 2);
    } else {
      this.move(now.x - before.x, now.y - before.y);
    }
    this.pointers.set(event.pointerId, now);
  }

  up(event, tapped) {
    if (!this.pointers.delete(event.pointerId)) return;
    if (this.pointers.size) {
      this.start = [...this.pointers.values()][0];
      return;
    }
    this.section.classList.remove('dragged');
    if (tapped && !this.dragged) this.onTap(this.groupAt(this.place(event)));
  }

  wheel(event) {
    event.preventDefault();
    const pixels = event.deltaY * (event.deltaMode === 1 ? 30 : 1);
    const { x, y } = this.place(event);
    this.zoom(Math.exp(clamp(-pixels * (event.ctrlKey ? 0.01 : 0.0015), -0.5, 0.5)), x, y);
  }

  // What lies where, in millimetres of the sheet.

  /** Rectangles and lines of each group; the lines of a wire count, not the room it encloses. */
  measured() {
    if (this.shapes) return this.shapes;
    const sheet = this.svg.getBoundingClientRect();
    const perMm = this.scale * PIXELS_PER_MM;
    this.shapes = this.groups.map((group) => {
      const rects = [];
      const lines = [];
      for (const child of group.children) {
        if (child.tagName === 'title') continue;
        if (child.tagName === 'path' && group.classList.contains('wire')) {
          lines.push(...pathLines(child.getAttribute('d')));
          continue;
        }
        const box = child.getBoundingClientRect();
        rects.push([(box.left - sheet.left) / perMm, (box.top - sheet.top) / perMm,
          (box.right - sheet.left) / perMm, (box.bottom - sheet.top) / perMm]);
      }
      return { group, rects, lines };
    });
    return this.shapes;
  }

  /** The group under a finger, or the nearest within its reach; a flag before a component before a wire. */
  groupAt({ x, y }) {
    const perMm = this.scale * PIXELS_PER_MM;
    const [xMm, yMm] = [(x - this.x) / perMm, (y - this.y) / perMm];
    let best = { distance: REACH_PX / perMm, group: null };
    for (const { group, rects, lines } of this.measured()) {
      const order = group.classList.contains('flag') ? 0 : group.classList.contains('component') ? 0.01 : 0.02;
      const distance = order + Math.min(...rects.map((rect) => toRect(xMm, yMm, rect)),
        ...lines.map((line) => toLine(xMm, yMm, line)));
      if (distance < best.distance) best = { distance, group };
    }
    return best.group;
  }

  groupsOf(ids) {
    return this.groups.filter((group) => ids.includes(group.dataset.id));
  }

  flagsOf(number) {
    return this.groups.filter((group) => group.dataset.finding === String(number));
  }

  /** Draws the marker under what is chosen, and says what room it takes; null if none of it is on this sheet. */
  mark(groups) {
    this.svg.querySelector('.marking')?.remove();
    if (!groups.length) return null;
    this.measured();
    const marking = document.createElementNS(SVG, 'g');
    marking.setAttribute('class', 'marking');
    marking.setAttribute('aria-hidden', 'true');
    const bounds = [Infinity, Infinity, -Infinity, -Infinity];
    for (const { group, rects, lines } of this.shapes.filter((shape) => groups.includes(shape.group))) {
      const corners = lines.flatMap(([x0, y0, x1, y1]) => [[x0, y0, x0, y0], [x1, y1, x1, y1]]);
      for (const [x0, y0, x1, y1] of [...rects, ...corners]) {
        bounds[0] = Math.min(bounds[0], x0);
        bounds[1] = Math.min(bounds[1], y0);
        bounds[2] = Math.max(bounds[2], x1);
        bounds[3] = Math.max(bounds[3], y1);
      }
      if (lines.length) markWire(marking, group);
      else markBox(marking, rects);
    }
    this.svg.querySelector('rect').after(marking);
    return bounds;
  }

  /** Brings a part of the sheet into sight, and near enough to be read. */
  reveal([x0, y0, x1, y1]) {
    const { clientWidth: width, clientHeight: height } = this.section;
    const [middleX, middleY] = [(x0 + x1) / 2, (y0 + y1) / 2];
    if (this.scale < SMALL_SCALE) {
      const room = Math.min(width / (x1 - x0 + 20), height / (y1 - y0 + 20)) / PIXELS_PER_MM;
      this.scale = clamp(room, Math.min(this.scale * 1.5, READABLE_SCALE), READABLE_SCALE);
      this.fitted = false;
      this.center(middleX, middleY);
      return;
    }
    const perMm = this.scale * PIXELS_PER_MM;
    const [left, top] = [x0 * perMm + this.x, y0 * perMm + this.y];
    const [right, bottom] = [x1 * perMm + this.x, y1 * perMm + this.y];
    if (left < 0 || top < 0 || right > width || bottom > height) this.center(middleX, middleY);
  }
}

/** The straight lines of a path that was drawn in absolute coordinates. */
function pathLines(d) {
  const lines = [];
  let last = null;
  for (const [, letter, numbers] of d.matchAll(/([A-Z])([^A-Z]*)/g)) {
    const values = numbers.trim().split(/[\s,]+/).map(Number);
    const [x, y] = values.slice(-2);
    if (letter !== 'M' && last) lines.push([...last, x, y]);
    last = [x, y];
  }
  return lines;
}

const toRect = (x, y, [x0, y0, x1, y1]) => Math.hypot(Math.max(x0 - x, 0, x - x1), Math.max(y0 - y, 0, y - y1));

function toLine(x, y, [x0, y0, x1, y1]) {
  const [dx, dy] = [x1 - x0, y1 - y0];
  const along = clamp(((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy || 1), 0, 1);
  return Math.hypot(x - x0 - along * dx, y - y0 - along * dy);
}

function markWire(marking, group) {
  const path = group.querySelector('path');
  for (const name of ['edge', 'ink']) {
    const line = document.createElementNS(SVG, 'path');
    line.setAttribute('class', name);
    line.setAttribute('d', path.getAttribute('d'));
    marking.append(line);
  }
}

function markBox(marking, rects) {
  const [x0, y0] = [Math.min(...rects.map((rect) => rect[0])) - 1, Math.min(...rects.map((rect) => rect[1])) - 1];
  const [x1, y1] = [Math.max(...rects.map((rect) => rect[2])) + 1, Math.max(...rects.map((rect) => rect[3])) + 1];
  const box = document.createElementNS(SVG, 'rect');
  const sizes = { x: x0, y: y0, width: x1 - x0, height: y1 - y0, rx: 1 };
  for (const [name, value] of Object.entries(sizes)) box.setAttribute(name, String(value));
  marking.append(box);
}
