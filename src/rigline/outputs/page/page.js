// What the page does with its sheets (sheet.js): shows what was tapped, finds, turns sheets. Everything that must be
// read stands in the page without it.
// Texts from the spec are only ever set as text, never as markup.
'use strict';

/**
 * Brings the page to life. Another page may do so again after its parts were replaced by those of a newer drawing:
 * `stop` lets go of the old ones and says how they stood, and that is given back as `before`.
 */
function startPage({ before = null, facts = JSON.parse(document.getElementById('ui:facts').textContent) } = {}) {
  const PAN_PX = 60;
  const ZOOM_STEP = 1.35;

  const byId = (name) => document.getElementById(`ui:${name}`);
  const ending = new AbortController();
  const { signal } = ending;
  const items = new Map(facts.items.map((item) => [item.id, item]));
  const runs = new Map(Object.entries(facts.runs));

  /** An element with attributes and children; a child that is a string becomes text. */
  function make(tag, attributes = {}, ...children) {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
    element.append(...children);
    return element;
  }

  const itemHref = (id) => `#/item/${encodeURIComponent(id)}`;

  /** Makes a list of tabs work: click, arrows, Home and End. Gives a function that shows one of them. */
  function tabbed(list, onShow) {
    const tabs = [...list.querySelectorAll('[role=tab]')];
    const panels = tabs.map((tab) => document.getElementById(tab.getAttribute('aria-controls')));
    function show(index) {
      tabs.forEach((tab, at) => {
        tab.setAttribute('aria-selected', String(at === index));
        tab.tabIndex = at === index ? 0 : -1;
        panels[at].hidden = at !== index;
      });
      onShow(index);
    }
    tabs.forEach((tab, index) => tab.addEventListener('click', () => show(index), { signal }));
    list.addEventListener('keydown', (event) => {
      const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
      const at = tabs.indexOf(event.target);
      const ends = { Home: 0, End: tabs.length - 1 };
      if (at < 0 || (!step && !(event.key in ends))) return;
      const next = step ? (at + step + tabs.length) % tabs.length : ends[event.key];
      event.preventDefault();
      tabs[next].focus();
      show(next);
    }, { signal });
    return show;
  }

  // ---- The panel ----

  const panel = byId('panel');
  const VIEWS = [...byId('views').querySelectorAll('[role=tab]')].map((tab) => tab.getAttribute('aria-controls').slice('ui:'.length));
  const showViewAt = tabbed(byId('views'), (index) => {
    panel.classList.remove('closed');
    document.body.dataset.view = VIEWS[index];
  });
  const showView = (name) => showViewAt(VIEWS.indexOf(name));

  function rowsOf(rows) {
    return make('dl', { class: 'leaders' }, ...rows.map(({ label, text, key, value }) => {
      const exact = key && value !== null ? make('data', { value, 'data-key': key }, text) : text;
      return make('div', {}, make('dt', {}, label), make('dd', {}, exact));
    }));
  }

  function pairsOf(name, pairs) {
    return make('dl', { class: name }, ...pairs.map(([label, text]) => make('div', {}, make('dt', {}, label), make('dd', {}, text))));
  }

  function linkTo(id) {
    return make('a', { href: itemHref(id) }, id);
  }

  function foundOn(item) {
    return make('ol', { class: 'findings' }, ...item.findings.map((number) => {
      const finding = byId(`finding-${number}`);
      const line = make('a', { href: `#/finding/${number}` }, ...[...finding.querySelector('button').childNodes].map((node) => node.cloneNode(true)));
      return make('li', { class: `found ${finding.dataset.severity}` }, line);
    }));
  }

  /** Whether the title says more than the kind. */
  const isNamed = ({ title, kind }) => title.toLowerCase() !== kind.toLowerCase();

  function article(item) {
    const node = make('article', { class: 'item', 'data-item': item.id });
    node.append(make('h2', { tabindex: '-1' }, item.id, make('small', {}, isNamed(item) ? `${item.title}, ${item.kind}` : item.title)));
    node.append(rowsOf(item.rows));
    if (item.findings.length) node.append(make('h3', {}, 'Findings'), foundOn(item));
    if (item.joins.length) {
      const links = make('p', { class: 'links' }, ...item.joins.map(linkTo));
      node.append(make('h3', {}, item.sort === 'wire' ? 'Between' : 'Wires'), links);
    }
    if (item.steps.length) node.append(make('h3', {}, 'Where the numbers come from'), pairsOf('steps', item.steps));
    if (item.given?.length) node.append(make('h3', {}, 'Given in the spec'), pairsOf('steps given', item.given));
    node.append(make('h3', {}, `Spec, line ${item.line}`), make('pre', {}, item.source.join('\n')));
    return node;
  }

  // ---- Sheets, and what is chosen ----

  const sheets = [...document.querySelectorAll('.sheet')].map((section) => new Sheet(section, tapped));
  let current = 0;
  /** A tab beyond the sheets shows a list; the sheet that was in sight stays the current one. */
  const showSheet = tabbed(document.querySelector('.sheets'), (index) => {
    document.body.classList.toggle('listing', index >= sheets.length);
    if (index >= sheets.length) return;
    current = index;
    const sheet = sheets[index];
    if (sheet.scale) sheet.resized();
    else sheet.fit();
  });

  function tapped(group) {
    if (!group) go('#/');
    else if (group.dataset.finding) go(`#/finding/${group.dataset.finding}`);
    else go(itemHref(group.dataset.id));
  }

  /** Chosen things are addresses, so that the browser's own back button leads back. */
  function go(address) {
    if (location.hash === address) follow();
    else location.hash = address;
  }

  /** Marks groups on all sheets and turns to the first sheet that has any, the current one before the others. */
  function choose(find, turn = true) {
    const listed = document.querySelector('.sheets [role=tab][aria-selected=true]');
    const bounds = sheets.map((sheet, index) => {
      const groups = find(sheet);
      const hidden = index !== current || document.body.classList.contains('listing');
      if (groups.length && hidden && !sheet.shapes) showSheetToMeasure(index);
      return sheet.mark(groups);
    });
    const at = bounds[current] ? current : bounds.findIndex(Boolean);
    if (!turn) listed.click();
    if (at < 0 || !turn) return;
    if (at !== current || document.body.classList.contains('listing')) showSheet(at);
    sheets[at].chosen = bounds[at];
    sheets[at].reveal(bounds[at]);
  }

  function showSheetToMeasure(index) {
    const before = current;
    showSheet(index);
    sheets[index].measured();
    showSheet(before);
  }

  function clear() {
    for (const sheet of sheets) {
      sheet.mark([]);
      sheet.chosen = null;
    }
  }

  function openFinding(number) {
    for (const finding of document.querySelectorAll('.finding[data-number]')) {
      const open = finding.dataset.number === String(number);
      finding.classList.toggle('open', open);
      finding.querySelector('button').setAttribute('aria-expanded', String(open));
    }
  }

  function showItems(ids, turn) {
    const inPanel = panel.contains(document.activeElement);
    const shown = ids.map((id) => items.get(id));
    const view = byId('numbers');
    view.replaceChildren(...shown.map(article));
    view.scrollTop = 0;
    showView('numbers');
    choose((sheet) => sheet.groupsOf(ids), turn);
    byId('spoken').textContent = shown.map((item) => `${item.id}, ${item.title}: ${item.rows.map((row) => `${row.label} ${row.text}`).join(', ')}`).join('. ');
    if (inPanel) view.querySelector('h2').focus({ preventScroll: true });
  }

  function showFinding(number, turn) {
    const finding = byId(`finding-${number}`);
    if (!finding) return;
    showView('findings');
    openFinding(number);
    const places = [...finding.querySelectorAll('a[href^="#/item/"]')].map((link) => decodeURIComponent(link.getAttribute('href').slice('#/item/'.length)));
    const ids = places.flatMap((id) => runs.get(id) ?? [id]);
    choose((sheet) => [...sheet.flagsOf(number), ...sheet.groupsOf(ids)], turn);
    finding.scrollIntoView({ block: 'nearest' });
    byId('spoken').textContent = finding.querySelector('button').textContent;
  }

  const nothing = [...byId('numbers').childNodes];

  /** Shows what the address names, and turns to its sheet. */
  function follow(turn = true) {
    const [, sort, name = ''] = location.hash.split('/');
    let word = '';
    try {
      word = decodeURIComponent(name);
    } catch {
      return;
    }
    clear();
    if (sort === 'item' && items.has(word)) showItems([word], turn);
    else if (sort === 'row' && items.has(word)) showItems([word], false);
    else if (sort === 'item' && runs.has(word)) showItems(runs.get(word), turn);
    else if (sort === 'finding') showFinding(word, turn);
    else if (VIEWS.includes(sort)) showView(sort);
    else {
      byId('numbers').replaceChildren(...nothing);
      openFinding(null);
    }
  }

  // ---- Find ----

  const searched = facts.items.map((item) => ({ item, text: `${item.id} ${item.title} ${item.kind}`.toLowerCase() }));

  const byNumber = new Intl.Collator('en', { numeric: true });

  function rank({ item }, first) {
    const id = item.id.toLowerCase();
    return id === first ? 0 : id.startsWith(first) ? 1 : 2;
  }

  function secondLine(item) {
    if (item.sort === 'wire') return `wire, ${item.kind}`;
    return isNamed(item) ? item.kind : '';
  }

  function search() {
    const words = byId('word').value.toLowerCase().split(/\s+/).filter(Boolean);
    const hits = searched.filter(({ text }) => words.every((word) => text.includes(word)));
    if (words.length) hits.sort((a, b) => rank(a, words[0]) - rank(b, words[0]) || byNumber.compare(a.item.id, b.item.id));
    byId('hits').textContent = words.length ? `${hits.length} found` : `${hits.length} wires and components`;
    byId('index').replaceChildren(...hits.map(({ item }) => make('li', {}, make('a', { href: itemHref(item.id) },
      make('b', {}, item.id), make('span', {}, item.title, make('small', {}, secondLine(item)))))));
  }

  byId('word').addEventListener('input', search, { signal });
  byId('word').addEventListener('keydown', (event) => {
    const first = byId('index').querySelector('a');
    if (event.key === 'Enter' && first) first.click();
  }, { signal });

  // ---- Keys, buttons, and the start ----

  function step(by) {
    const here = new Set((sheets[current]?.groups ?? []).map((group) => group.dataset.id));
    const order = facts.items.filter((item) => here.has(item.id));
    const chosen = decodeURIComponent(location.hash.slice('#/item/'.length));
    const at = order.findIndex((item) => item.id === chosen);
    if (order.length) go(itemHref(order[(at < 0 && by < 0 ? order.length - 1 : at + by + order.length) % order.length].id));
  }

  const KEYS = {
    ArrowLeft: (sheet) => sheet.move(PAN_PX, 0),
    ArrowRight: (sheet) => sheet.move(-PAN_PX, 0),
    ArrowUp: (sheet) => sheet.move(0, PAN_PX),
    ArrowDown: (sheet) => sheet.move(0, -PAN_PX),
    '+': (sheet) => sheet.zoom(ZOOM_STEP),
    '=': (sheet) => sheet.zoom(ZOOM_STEP),
    '-': (sheet) => sheet.zoom(1 / ZOOM_STEP),
    0: (sheet) => sheet.fit(),
    n: () => step(1),
    p: () => step(-1),
    Escape: () => go('#/'),
  };
  for (const sheet of sheets) {
    sheet.section.addEventListener('keydown', (event) => {
      const act = event.ctrlKey || event.metaKey || event.altKey ? null : KEYS[event.key.length === 1 ? event.key.toLowerCase() : event.key];
      if (!act) return;
      event.preventDefault();
      act(sheet);
    });
  }
  byId('in').addEventListener('click', () => sheets[current]?.zoom(ZOOM_STEP), { signal });
  byId('out').addEventListener('click', () => sheets[current]?.zoom(1 / ZOOM_STEP), { signal });
  byId('fit').addEventListener('click', () => sheets[current]?.fit(), { signal });
  byId('close').addEventListener('click', () => {
    panel.classList.add('closed');
    byId('views').querySelector('[aria-selected=true]').focus();
  }, { signal });
  for (const finding of document.querySelectorAll('.finding[data-number]')) {
    finding.querySelector('button').addEventListener('click', () => {
      if (finding.classList.contains('open')) go('#/');
      else go(`#/finding/${finding.dataset.number}`);
    });
  }

  /** How the page stands: what is in sight, and how near. */
  function standing() {
    return {
      view: document.body.dataset.view,
      closed: panel.classList.contains('closed'),
      tab: document.querySelector('.sheets [aria-selected=true]').id,
      sheets: sheets.map(({ x, y, scale, fitted, widthMm, heightMm }) => ({ x, y, scale, fitted, widthMm, heightMm })),
      current,
      read: byId('findings').scrollTop,
    };
  }

  /** Puts the page as it stood with an older drawing; a sheet of another size is shown whole. */
  function restore() {
    sheets.forEach((sheet, index) => {
      const old = before.sheets[index];
      if (!old?.scale || old.fitted || old.widthMm !== sheet.widthMm || old.heightMm !== sheet.heightMm) return;
      Object.assign(sheet, { x: old.x, y: old.y, scale: old.scale, fitted: false });
    });
    if (before.current < sheets.length) showSheet(before.current);
    const tabs = [...document.querySelectorAll('.sheets [role=tab]')].map((tab) => tab.id);
    showSheet(Math.max(tabs.indexOf(before.tab), 0));
    follow(false);
    showView(before.view);
    panel.classList.toggle('closed', before.closed);
    byId('findings').scrollTop = before.read;
  }

  document.documentElement.classList.add('js');
  search();
  openFinding(null);
  if (before) {
    restore();
  } else {
    showSheet(0);
    showView(document.querySelector('.finding') ? 'findings' : 'numbers');
    if (matchMedia('(max-width: 719px)').matches) panel.classList.add('closed');
    if (location.hash) follow();
  }
  const observer = new ResizeObserver(() => {
    const sheet = sheets[current];
    sheet?.resized();
    if (sheet?.chosen) sheet.reveal(sheet.chosen);
  });
  observer.observe(document.querySelector('.desk'));
  addEventListener('hashchange', () => follow(), { signal });

  return {
    stop() {
      const stood = standing();
      ending.abort();
      observer.disconnect();
      return stood;
    },
  };
}
