// The place to try the spec out: checks as one types, through the server and without touching the file, and saves only
// when asked to, and never over a change that was made elsewhere.
import {
  EditorState, EditorView, HighlightStyle, StreamLanguage, autocompletion, bracketMatching, completionKeymap, defaultKeymap,
  drawSelection, highlightActiveLine, history, historyKeymap, hoverTooltip, indentUnit, indentWithTab, keymap, lineNumbers,
  lintGutter, lintKeymap, search, searchKeymap, setDiagnostics, syntaxHighlighting, tags, toml, yaml,
} from './codemirror.js';
import { completions, hint } from './hints.js';
import { fetched, nonce, savedLook, tryOut } from './view.js';

const PAUSE_MS = 250; // of typing, before the text is checked
const SHADES = { danger: 'error', fault: 'error', question: 'warning', advice: 'info' };

const byId = (name) => document.getElementById(`ui:${name}`);

const theme = EditorView.theme({
  '&': { color: 'var(--ink)', backgroundColor: 'var(--paper)', fontSize: '13px', height: '100%' },
  '.cm-scroller': { fontFamily: "ui-monospace, 'Liberation Mono', monospace", lineHeight: '1.5' },
  '.cm-content': { caretColor: 'var(--ink)' },
  '.cm-cursor': { borderLeftColor: 'var(--ink)', borderLeftWidth: '2px' },
  '.cm-gutters': { backgroundColor: 'var(--paper)', color: 'var(--soft)', border: '0' },
  '.cm-activeLine, .cm-activeLineGutter': { backgroundColor: 'var(--pale)' },
  '&.cm-focused': { outline: '2px solid var(--accent)', outlineOffset: '-2px' },
  '&.cm-focused > .cm-scroller > .cm-selectionLayer .cm-selectionBackground, .cm-selectionBackground': { backgroundColor: 'var(--chosen)' },
  '.cm-tooltip': { backgroundColor: 'var(--paper)', color: 'var(--ink)', border: '1px solid var(--ink)', maxWidth: 'min(480px, 90vw)' },
  '.cm-tooltip .hint': { padding: '6px 8px', fontFamily: 'inherit' },
  '.cm-tooltip-autocomplete ul li[aria-selected]': { backgroundColor: 'var(--accent)', color: 'var(--paper)' },
  '.cm-completionDetail': { color: 'var(--soft)', fontStyle: 'normal' },
  '.cm-tooltip-autocomplete ul li[aria-selected] .cm-completionDetail': { color: 'var(--paper)' },
  '.cm-diagnostic': { fontFamily: 'inherit', borderLeftWidth: '4px' },
  // Shapes of our own in place of pictures, which the page's policy would not load.
  '.cm-lintRange': { backgroundImage: 'none !important', textDecoration: 'underline wavy', textUnderlineOffset: '3px' },
  '.cm-lintRange-error': { textDecorationColor: 'var(--danger)' },
  '.cm-lintRange-warning': { textDecorationColor: 'var(--question)' },
  '.cm-lintRange-info': { textDecorationColor: 'var(--soft)' },
  '.cm-lint-marker': { width: '12px', height: '12px', margin: '4px 2px', content: 'none', border: '2px solid var(--soft)' },
  '.cm-lint-marker-error': { content: 'none !important', backgroundColor: 'var(--danger)', borderColor: 'var(--danger)', transform: 'rotate(45deg) scale(0.8)' },
  '.cm-lint-marker-warning': { content: 'none !important', borderColor: 'var(--question)', borderRadius: '50%' },
  '.cm-lint-marker-info': { content: 'none !important' },
  '.cm-diagnostic-error': { borderLeftColor: 'var(--danger)' },
  '.cm-diagnostic-warning': { borderLeftColor: 'var(--question)' },
  '.cm-diagnostic-info': { borderLeftColor: 'var(--soft)' },
  '.cm-panels': { backgroundColor: 'var(--pale)', color: 'var(--ink)' },
  '.cm-panels input, .cm-panels button': { background: 'var(--paper)', color: 'var(--ink)', border: '1px solid var(--soft)', borderRadius: '0' },
});

const inks = HighlightStyle.define([
  { tag: tags.comment, color: 'var(--soft)', fontStyle: 'italic' },
  { tag: tags.meta, color: 'var(--soft)' },
  { tag: [tags.propertyName, tags.atom, tags.definition(tags.propertyName)], color: 'var(--accent)' },
  { tag: [tags.string, tags.number, tags.literal, tags.bool], color: 'var(--ink)' },
  { tag: [tags.keyword], color: 'var(--fault)' },
]);

class Editor {
  constructor(parent, schema, file) {
    this.schema = schema;
    this.base = file; // text and digest that the text here was made from
    this.theirs = null; // what the file holds, while that is another text and this one was changed too
    this.turn = 0;
    this.timer = 0;
    this.view = new EditorView({ parent, state: this.stateOf(file.text ?? '') });
    byId('save').addEventListener('click', () => this.save());
    byId('revert').addEventListener('click', () => this.take(this.theirs ?? this.base));
    byId('take').addEventListener('click', () => this.take(this.theirs));
    byId('keep').addEventListener('click', () => this.save(this.theirs.digest));
    addEventListener('keydown', (event) => {
      if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== 's') return;
      event.preventDefault();
      this.save();
    });
    addEventListener('beforeunload', (event) => this.edited && event.preventDefault());
    new ResizeObserver(() => this.view.hasFocus && this.view.dispatch({ effects: EditorView.scrollIntoView(this.view.state.selection.main.head) })).observe(parent);
    this.told();
    this.mark(savedLook());
  }

  stateOf(text) {
    const { syntax } = document.body.dataset;
    return EditorState.create({
      doc: text,
      extensions: [
        EditorView.cspNonce.of(nonce), theme, syntaxHighlighting(inks), lineNumbers(), lintGutter(), history(), drawSelection(),
        highlightActiveLine(), bracketMatching(), indentUnit.of('  '), search({ top: true }), EditorView.lineWrapping,
        // JSON is YAML, and its few signs read the same.
        StreamLanguage.define(syntax === 'toml' ? toml : yaml),
        autocompletion({ override: [(context) => this.completed(context)], icons: false }),
        hoverTooltip((view, pos) => this.hinted(view, pos)),
        keymap.of([...completionKeymap, ...lintKeymap, ...searchKeymap, ...historyKeymap, indentWithTab, ...defaultKeymap]),
        EditorView.contentAttributes.of({ 'aria-label': 'The spec', spellcheck: 'false', autocapitalize: 'off' }),
        EditorState.readOnly.of(this.base.text === null),
        EditorView.updateListener.of((update) => update.docChanged && this.changed()),
      ],
    });
  }

  get text() {
    return this.view.state.doc.toString();
  }

  get edited() {
    return this.base.text !== null && this.text !== this.base.text;
  }

  completed(context) {
    const found = completions(this.schema, this.text, context.pos, document.body.dataset.syntax);
    if (!found || (!context.explicit && found.from === context.pos && !found.eager)) return null;
    return { from: found.from, options: found.options, validFor: /^[\w.\/-]*$/ };
  }

  hinted(view, pos) {
    const found = hint(this.schema, this.text, pos, document.body.dataset.syntax);
    if (!found) return null;
    return {
      pos: found.from,
      end: found.to,
      create() {
        const dom = document.createElement('div');
        dom.className = 'hint';
        const name = document.createElement('b');
        name.textContent = found.name;
        dom.append(name, ` ${found.text}`);
        return { dom };
      },
    };
  }

  // ---- Checking ----

  changed() {
    this.turn += 1;
    clearTimeout(this.timer);
    this.told();
    if (this.edited) {
      this.timer = setTimeout(() => this.check(this.turn), PAUSE_MS);
    } else {
      tryOut(null);
      this.mark(savedLook());
    }
  }

  /** First the quick check, then the drawing; what comes back for an older text is dropped. */
  async check(turn) {
    const body = this.text;
    try {
      for (const address of ['check', 'try']) {
        const look = await fetched(address, { method: 'POST', body });
        if (turn !== this.turn) return;
        if (look === null) break;
        this.mark(look);
        if (address === 'try' || look.problems.length) {
          tryOut(look.name ? look : { ...look, name: savedLook().name, stale: true });
          return;
        }
      }
      this.timer = setTimeout(() => this.check(turn), PAUSE_MS);
    } catch (error) {
      if (turn === this.turn) this.say(`Not checked: ${error.message}`);
    }
  }

  mark(look) {
    if (!look) return;
    const { doc } = this.view.state;
    const { name } = savedLook();
    const own = [...look.problems.map((one) => ({ ...one, shade: 'error' })),
      ...look.findings.map((one) => ({ ...one, shade: SHADES[one.severity], text: `${one.severity}: ${one.text}` }))];
    const marks = own.filter(({ file, line }) => file === name && line >= 1 && line <= doc.lines).map(({ line, column, shade, text }) => {
      const { from, to, text: written } = doc.line(line);
      const start = column ? Math.min(column - 1, written.length) : written.search(/\S|$/);
      const word = /^[^\s:,{}[\]]*/.exec(written.slice(start))[0].length || 1;
      return { from: from + start, to: Math.min(from + start + word, to), severity: shade, message: text };
    });
    this.view.dispatch(setDiagnostics(this.view.state, marks));
  }

  // ---- Saving ----

  say(text) {
    byId('edited').textContent = text;
  }

  told() {
    byId('save').disabled = !this.edited;
    byId('revert').disabled = !this.edited;
    byId('conflict').hidden = !this.theirs;
    if (this.base.text === null) this.say('This file is not UTF-8 text; save it as UTF-8 in its own program first.');
    else if (this.edited) this.say('Changed here, not saved.');
    else this.say('As in the file. What you change is only tried out until you save.');
  }

  conflict(file) {
    this.theirs = file;
    byId('theirs').textContent = file.text ?? 'No text that could be shown.';
    this.told();
  }

  async save(digest = this.base.digest) {
    if (!this.edited && !this.theirs) return;
    const body = this.text;
    const answer = await fetch('text', { method: 'PUT', body, headers: { 'If-Match': `"${digest}"` } }).catch(() => null);
    if (answer?.status === 412) {
      this.conflict(await answer.json());
      return;
    }
    if (!answer?.ok) {
      this.say(`Not saved: ${answer ? await answer.text() : 'Rigline has ended.'}`);
      return;
    }
    this.base = await answer.json();
    this.theirs = null;
    this.told();
    if (!this.edited) {
      tryOut(null);
      this.say('Saved.');
    }
  }

  /** Goes on with the file's text. */
  take(file) {
    this.base = file;
    this.theirs = null;
    const text = file.text ?? '';
    if (this.text !== text) this.view.dispatch({ changes: changeBetween(this.text, text) });
    this.told();
    tryOut(null);
    this.mark(savedLook());
  }

  /** The file was saved, by this page or elsewhere. */
  async fileChanged() {
    const look = savedLook();
    if (look.digest === this.base.digest) {
      if (!this.edited) this.mark(look);
      return;
    }
    const file = await fetched('text').catch(() => null);
    if (!file || file.digest === this.base.digest) return;
    if (this.edited && this.text !== file.text) this.conflict(file);
    else this.take(file);
  }

  goTo(line, column) {
    const { doc } = this.view.state;
    const { from, to } = doc.line(Math.min(line, doc.lines));
    this.view.dispatch({ selection: { anchor: Math.min(from + column - 1, to) }, effects: EditorView.scrollIntoView(from, { y: 'center' }) });
    this.view.focus();
  }
}

/** The one stretch in which two texts differ, so that the cursor stays where it was. */
function changeBetween(before, after) {
  let from = 0;
  while (from < before.length && from < after.length && before[from] === after[from]) from += 1;
  let end = 0;
  while (end < Math.min(before.length, after.length) - from && before[before.length - 1 - end] === after[after.length - 1 - end]) end += 1;
  return { from, to: before.length - end, insert: after.slice(from, after.length - end) };
}

export async function startEditor(parent) {
  const [schema, file] = await Promise.all([fetched('schema'), fetched('text')]);
  return new Editor(parent, schema, file);
}
