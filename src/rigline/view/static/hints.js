// What may be written at a place of the spec, and what a word there means: from the JSON Schema of a spec.
// A small reader finds the place even where the text is not yet whole; the server's reader is the one that judges.

const KEY = /^("[^"]*"|'[^']*'|[^\s#:{}[\],"'][^#:]*?)(\s*):(?=\s|$)/;
const plain = (word) => word.replace(/^(["'])(.*)\1$/, '$2');

/** One level of the text: a mapping or a list, under a key of the level above. */
class Level {
  constructor(parent, sort, indent) {
    Object.assign(this, { parent, sort, indent, under: parent?.step ?? null, key: null, values: {} });
  }

  /** What leads from here to a level below. */
  get step() {
    return this.sort === 'list' ? '[]' : this.key;
  }

  get path() {
    return this.parent ? [...this.parent.path, this.under] : [];
  }
}

/** Reads a text to its end, and remembers where the cursor stands. */
class Reader {
  constructor(text, pos) {
    Object.assign(this, { text, pos, at: 0, place: null, ids: new Set() });
    this.level = new Level(null, 'map', 0);
  }

  note(from, to, role, level = this.level) {
    if (!this.place && this.pos >= from && this.pos <= to) this.place = { from, to, role, level, key: level.key };
  }

  open(sort, indent) {
    this.level = new Level(this.level, sort, indent);
  }

  close() {
    this.level = this.level.parent ?? this.level;
  }

  setKey(word) {
    this.level.key = plain(word);
    if (this.level.path.join() === 'components') this.ids.add(this.level.key);
  }

  yaml() {
    while (this.at < this.text.length || (this.at === this.text.length && !this.place)) {
      const end = this.text.indexOf('\n', this.at);
      const stop = end < 0 ? this.text.length : end;
      this.line(stop);
      this.at = Math.max(this.at, stop) + 1;
    }
    return this;
  }

  line(stop) {
    const line = this.text.slice(this.at, stop);
    const indent = line.search(/[^ ]|$/);
    const from = this.at + indent;
    if (!line.trim() || line.trim().startsWith('#')) {
      if (!line.trim()) this.blank(this.at, stop);
      return;
    }
    this.at = from;
    this.entry(indent, stop);
  }

  /** An empty line: a key of the level that the cursor's column belongs to. */
  blank(from, to) {
    if (this.pos < from || this.pos > to) return;
    const column = this.pos - from;
    let { level } = this;
    while (level.parent && level.indent > column) level = level.parent;
    if (level.sort === 'map' && level.key !== null && column > level.indent) level = new Level(level, 'map', column);
    this.note(this.pos, this.pos, 'key', level);
  }

  entry(indent, stop) {
    const item = this.text.startsWith('- ', this.at) || this.text.slice(this.at, stop) === '-';
    while (this.level.parent && (this.level.indent > indent || (this.level.indent === indent && this.level.sort === 'list' && !item))) this.close();
    if (item) {
      if (this.level.sort !== 'list' || this.level.indent !== indent) this.open('list', indent);
      this.at += 1;
      while (this.text[this.at] === ' ') this.at += 1;
      this.entry(indent + 2, stop);
      return;
    }
    const rest = this.text.slice(this.at, stop);
    const found = KEY.exec(rest);
    const within = this.level.parent && this.level.indent === indent && this.level.sort === 'map';
    if (!within && indent > 0 && (found || this.level.sort === 'map') && !/^[{[]/.test(rest)) this.open('map', indent);
    if (!found) {
      if (/^[{[]/.test(rest)) this.flow();
      else this.note(this.at, this.at + rest.trimEnd().length, this.level.sort === 'list' ? 'value' : 'key');
      return;
    }
    this.note(this.at, this.at + found[1].length, 'key');
    this.setKey(found[1]);
    this.at += found[0].length;
    this.value(stop);
  }

  value(stop) {
    const start = this.at;
    while (this.text[this.at] === ' ') this.at += 1;
    if (/[{[]/.test(this.text[this.at] ?? '')) {
      this.flow();
      return;
    }
    const written = /^("[^"]*"|'[^']*'|(?:(?! #).)*)/.exec(this.text.slice(this.at, stop))[0].trimEnd();
    if (this.pos > start) this.note(Math.min(this.at, this.pos), Math.max(this.at + written.length, Math.min(this.at, this.pos)), 'value');
    this.level.values[this.level.key] = plain(written);
    this.at = stop;
  }

  /** Braces and brackets, over as many lines as they take. */
  flow() {
    let depth = 0;
    do {
      const before = this.at;
      while (/\s/.test(this.text[this.at] ?? '') || this.text.startsWith(' #', this.at)) this.skip();
      const sign = this.text[this.at];
      if (depth > 0) this.note(before, this.at, this.level.sort === 'map' && this.level.key === null ? 'key' : 'value');
      if (sign === undefined) return;
      if (sign === '{' || sign === '[') {
        this.open(sign === '{' ? 'map' : 'list', Infinity);
        depth += 1;
        this.at += 1;
      } else if (sign === '}' || sign === ']') {
        this.close();
        depth -= 1;
        this.at += 1;
      } else if (sign === ',') {
        this.level.key = null;
        this.at += 1;
      } else {
        this.word();
      }
    } while (depth > 0);
  }

  skip() {
    const end = this.text.indexOf('\n', this.at);
    if (!this.text.startsWith(' #', this.at)) this.at += 1;
    else this.at = end < 0 ? this.text.length : end;
  }

  word() {
    const [raw] = /^("[^"]*"?|'[^']*'?|(?:(?!: | #|:$)[^,{}[\]\n])+|.)/m.exec(this.text.slice(this.at));
    const word = raw.trimEnd() || raw;
    const [from, to] = [this.at, this.at + word.length];
    this.at += raw.length;
    const colon = /^\s*:/.exec(this.text.slice(this.at));
    const isKey = this.level.sort === 'map' && this.level.key === null;
    if (colon && isKey) {
      this.note(from, to, 'key');
      this.setKey(word);
      this.at += colon[0].length;
      return;
    }
    this.note(from, to, isKey ? 'key' : 'value');
    if (this.level.key !== null) this.level.values[this.level.key] = plain(word);
  }

  toml() {
    for (const [line] of this.text.matchAll(/.*\n?/g)) {
      const head = /^\s*\[+([^\]]*)\]+/.exec(line);
      const pair = /^(\s*)([\w"-]+)(\s*=\s*)(.*)/.exec(line);
      if (head) {
        this.level = new Level(null, 'map', 0);
        for (const name of head[1].split('.').map(plain)) {
          this.setKey(name);
          this.open('map', 0);
        }
        if (line.trim().startsWith('[[')) this.open('list', 0);
      } else if (pair) {
        const from = this.at + pair[1].length;
        this.note(from, from + pair[2].length, 'key');
        this.setKey(pair[2]);
        const value = from + pair[2].length + pair[3].length;
        this.note(value, value + pair[4].length, 'value');
        this.level.values[this.level.key] = plain(pair[4].trim());
      } else {
        this.note(this.at + line.search(/\S|$/), this.at + line.trimEnd().length, 'key');
      }
      this.at += line.length;
    }
    return this;
  }
}

// ---- The schema ----

function target(schema, node) {
  if (!node?.$ref) return node;
  return node.$ref.slice('#/'.length).split('/').reduce((at, step) => at?.[step.replace(/~1/g, '/').replace(/~0/g, '~')], schema);
}

const isOf = (condition, values) => Object.entries(condition?.properties ?? {})
  .every(([key, { const: only, enum: some }]) => (some ?? [only]).map(String).includes(values[key]));

/** A node with everything that applies to it, given what stands beside the cursor. */
function parts(schema, node, values) {
  const own = target(schema, node);
  if (!own || typeof own !== 'object') return [];
  const found = [own];
  for (const one of [...(own.allOf ?? []), ...(own.if ? [{ if: own.if, then: own.then, else: own.else }] : [])]) {
    if (!one.if) found.push(...parts(schema, one, values));
    else if (isOf(one.if, values)) found.push(...parts(schema, one.then, values));
    else if (one.else) found.push(...parts(schema, one.else, values));
  }
  const choices = [...(own.oneOf ?? []), ...(own.anyOf ?? [])].map((one) => target(schema, one));
  const fitting = choices.filter((one) => one?.properties?.kind?.const !== undefined && String(one.properties.kind.const) === values.kind);
  for (const one of fitting.length ? fitting : choices) found.push(...parts(schema, one, values));
  return found;
}

const valuesOf = (levels, index) => levels[index]?.values ?? {};

/** Everything that the schema says of the level at a place. */
function at(schema, level) {
  const levels = [];
  for (let one = level; one; one = one.parent) levels.unshift(one);
  let nodes = parts(schema, schema, valuesOf(levels, 0));
  levels.slice(1).forEach((one, index) => {
    const next = nodes.flatMap((node) => {
      if (one.under === '[]') return node.items ? [node.items] : [];
      const named = node.properties?.[one.under];
      if (named) return [named];
      return node.additionalProperties && typeof node.additionalProperties === 'object' ? [node.additionalProperties] : [];
    });
    nodes = next.flatMap((node) => parts(schema, node, valuesOf(levels, index + 1)));
  });
  return nodes;
}

function propertyOf(schema, level, key) {
  return at(schema, level).map((node) => node.properties?.[key]).find(Boolean);
}

function choicesOf(schema, node, values) {
  return parts(schema, node, values).flatMap((one) => {
    if (one.enum) return one.enum.map((value) => ({ label: String(value) }));
    return 'const' in one ? [{ label: String(one.const), info: one.description }] : [];
  });
}

function read(text, pos, syntax) {
  const reader = new Reader(text, pos);
  return syntax === 'toml' ? reader.toml() : reader.yaml();
}

/** Keys or values that may be written at a place: { from, options, eager }; null where nothing is known. */
export function completions(schema, text, pos, syntax) {
  const { place, ids } = read(text, pos, syntax);
  if (!place) return null;
  const { level, role, key } = place;
  const from = place.from + /^["']?/.exec(text.slice(place.from, pos))[0].length;
  const colon = syntax === 'toml' ? ' = ' : ': ';
  if (role === 'key') {
    const given = new Set(Object.keys(level.values));
    const known = Object.assign({}, ...at(schema, level).map((node) => node.properties ?? {}));
    const options = Object.entries(known).filter(([name]) => !given.has(name))
      .map(([name, node]) => ({ label: name, info: target(schema, node)?.description, apply: syntax === 'json' ? name : `${name}${colon}` }));
    return options.length ? { from, options } : null;
  }
  if (level.sort === 'list' && level.under === 'path') return { from, options: [...ids].map((id) => ({ label: id })), eager: true };
  const node = propertyOf(schema, level, key);
  const options = node ? choicesOf(schema, node, level.values) : [];
  return options.length ? { from, options, eager: true } : null;
}

/** What the key or value under the pointer means: { from, to, name, text }; null where nothing is known. */
export function hint(schema, text, pos, syntax) {
  const { place } = read(text, pos, syntax);
  if (!place) return null;
  const { level, role, from, to, key } = place;
  const word = plain(text.slice(from, to));
  const node = propertyOf(schema, level, role === 'key' ? word : key);
  const said = role === 'key' ? target(schema, node)?.description
    : node && choicesOf(schema, node, level.values).find(({ label }) => label === word)?.info;
  return said ? { from, to, name: word, text: said } : null;
}
