// Follows the spec: takes each new look from the server, puts its parts into the page, and says plainly when what is shown
// is not what the file holds. The drawing itself is brought to life by page.js.
// Texts from the spec are only ever set as text; HTML comes from the server alone, which has escaped them.
import { keepTable } from './tables.js';

const byId = (name) => document.getElementById(`ui:${name}`);
const MOST_PROBLEMS = 3; // more would leave no room for the drawing on a phone

/** Parts of the page that are taken from each new drawing; the rest stays, with what a person has typed there. */
const SWAPPED = ['.head', '.sheets', '#ui\\:to-findings', '#ui\\:numbers', '#ui\\:findings', '#ui\\:cautions', '.foot'];

export const nonce = document.querySelector('script[nonce]').nonce;

const printSizes = new CSSStyleSheet();
document.adoptedStyleSheets.push(printSizes);

let saved = null; // the look of the file
let tried = null; // the look of the text in the editor, while it differs
let lost = false; // whether the server is gone
let drawn = 0; // number of the drawing in the page
let page = startPage({ facts: { items: [], runs: {} } });
let editor = null;

export async function fetched(address, options = {}) {
  const answer = await fetch(address, { cache: 'no-store', ...options });
  if (answer.status === 204) return null;
  if (!answer.ok) throw Object.assign(new Error(await answer.text()), { status: answer.status });
  return answer.json();
}

function make(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  element.append(...children);
  return element;
}

// ---- The drawing ----

function swap(drawing) {
  const focused = document.activeElement?.id;
  const parsed = new DOMParser().parseFromString(drawing.frame, 'text/html');
  const first = drawn === 0;
  const before = page.stop();
  for (const part of SWAPPED) document.querySelector(part).replaceWith(parsed.querySelector(part));
  for (const sheet of document.querySelectorAll('.sheet')) sheet.remove();
  document.querySelector('.desk').prepend(...parsed.querySelectorAll('.sheet'));
  byId('table').replaceChildren(...parsed.getElementById('ui:table').childNodes);
  printSizes.replaceSync(drawing.print);
  drawn = drawing.number;
  page = startPage({ facts: drawing.facts, before: first ? null : before });
  if (first && before.view === 'spec') byId('to-spec').click();
  keepTable();
  if (focused && document.activeElement === document.body) document.getElementById(focused)?.focus({ preventScroll: true });
  loadLists(drawing.number);
}

async function loadLists(number, again = true) {
  try {
    const { parts, energy } = await fetched(`lists?number=${number}`);
    if (number !== drawn) return;
    byId('parts').innerHTML = parts;
    byId('energy').innerHTML = energy;
  } catch (error) {
    // Another page may have asked for newer ones at the same time.
    if (error.status === 410 && number === drawn && again) loadLists(number, false);
  }
}

/** Shows the look that counts now: of what is tried out, or else of the file. */
function show() {
  const look = tried ?? saved;
  if (!look) return;
  if (look.drawing && look.drawing.number !== drawn) swap(look.drawing);
  const title = document.querySelector('.head h1').textContent;
  document.title = `${look.problems.length ? '✕ ' : ''}${title} (${look.name})`;
  say(look);
}

// ---- What is not as the file has it ----

function words(look) {
  const count = `${look.problems.length} problem${look.problems.length === 1 ? '' : 's'}`;
  if (lost) return ['ended', 'Rigline has ended. This page no longer follows the spec.'];
  if (look === tried && look.problems.length) return ['stale', `Out of date: the text in the editor has ${count}.`];
  if (look.problems.length && drawn) return ['stale', `Out of date: the spec has ${count}. Drawing and lists are those of the last text without any.`];
  if (look.problems.length) return ['stale', `The spec has ${count}. Nothing is drawn until that is mended.`];
  if (tried) return ['tried', 'Tried out, not saved. Drawing and lists show the text in the editor.'];
  return ['', ''];
}

function problemLine({ file, line, column, text }) {
  const place = line ? `${file}, line ${line}${column ? `, column ${column}` : ''}` : file;
  const own = saved && file === saved.name && line;
  return make('li', {}, own ? make('a', { href: `#/spec/${line}:${column || 1}` }, place) : make('b', {}, place), ` ${text}`);
}

function say(look) {
  const [state, text] = words(look);
  for (const name of ['stale', 'tried', 'ended']) document.body.classList.toggle(name, name === state);
  byId('notice').hidden = !state;
  const problems = lost ? [] : look.problems;
  // The editor marks the problems of its own text; a list that came and went would move the text under the fingers.
  const open = look === tried ? 0 : MOST_PROBLEMS;
  const more = problems.length - open;
  byId('notice').replaceChildren(
    make('p', {}, make('b', {}, text)),
    ...(open && problems.length ? [make('ul', {}, ...problems.slice(0, open).map(problemLine))] : []),
    ...(more > 0 ? [make('details', {}, make('summary', {}, open ? `${more} more` : 'Show'), make('ul', {}, ...problems.slice(open).map(problemLine)))] : []),
  );
}

// ---- Paper ----

// On paper, what was found comes before the lists.
const lists = [...document.querySelectorAll('.list')];
addEventListener('beforeprint', () => document.querySelector('.panel').after(...lists));
addEventListener('afterprint', () => document.querySelector('.desk').append(...lists));

// ---- The server ----

/** What the editor tells: the look of its text, or null when that is the file's again. */
export function tryOut(look) {
  tried = look && { ...look, drawing: look.drawing ?? tried?.drawing ?? saved?.drawing };
  show();
}

export const savedLook = () => saved;

async function refresh() {
  saved = await fetched('state');
  show();
  editor?.fileChanged();
}

const events = new EventSource('events');
events.addEventListener('look', () => refresh().catch(ended));
events.addEventListener('ended', () => {
  events.close();
  ended();
});
events.addEventListener('error', () => {
  if (events.readyState === EventSource.CLOSED) ended();
  else setTimeout(() => events.readyState !== EventSource.OPEN && ended(), 3000);
});
events.addEventListener('open', () => {
  lost = false;
  show();
});

function ended() {
  lost = true;
  say(tried ?? saved ?? { problems: [] });
}

// ---- The editor, loaded when it is first wanted ----

let opening = null;

function openEditor() {
  opening ??= import('./editor.js').then(async ({ startEditor }) => {
    editor = await startEditor(byId('editor'));
    return editor;
  });
  return opening;
}

async function goToLine() {
  const [, view, place] = location.hash.split('/');
  if (view !== 'spec') return;
  const [line, column] = (place ?? '').split(':').map(Number);
  const opened = await openEditor();
  if (line) opened.goTo(line, column || 1);
}

new MutationObserver(() => document.body.dataset.view === 'spec' && openEditor())
  .observe(document.body, { attributes: true, attributeFilter: ['data-view'] });
addEventListener('hashchange', goToLine);
goToLine();
