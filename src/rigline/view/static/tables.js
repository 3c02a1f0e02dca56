// The table of wires: sorted by the head of a column, filtered by words and by findings. What was chosen stays when a new
// table comes.
const byId = (name) => document.getElementById(`ui:${name}`);
const byNumber = new Intl.Collator('en', { numeric: true });
const NEXT = { none: 'ascending', ascending: 'descending', descending: 'none' };

const chosen = { column: 0, order: 'none' };
let rows = []; // as the server has them

const cellOf = (row) => row.cells[chosen.column];
/** A cell without a number sorts as the least. */
const numberOf = (cell) => Number(cell.dataset.sort ?? -Infinity);

function compare(a, b) {
  const [one, two] = [cellOf(a), cellOf(b)];
  if (one.dataset.sort !== undefined || two.dataset.sort !== undefined) return numberOf(one) - numberOf(two) || 0;
  return byNumber.compare(one.textContent, two.textContent);
}

function sort() {
  const heads = [...byId('table').querySelectorAll('th')];
  heads.forEach((head, at) => head.setAttribute('aria-sort', at === chosen.column ? chosen.order : 'none'));
  const sorted = chosen.order === 'none' ? rows : [...rows].sort(compare);
  byId('table').querySelector('tbody').replaceChildren(...(chosen.order === 'descending' ? sorted.reverse() : sorted));
}

function filter() {
  const words = byId('filter').value.toLowerCase().split(/\s+/).filter(Boolean);
  const flagged = byId('flagged').checked;
  let count = 0;
  for (const row of rows) {
    const text = [...row.cells].map((cell) => cell.textContent).join(' ').toLowerCase();
    row.hidden = !words.every((word) => text.includes(word)) || (flagged && !row.querySelector('a[href^="#/finding/"]'));
    count += !row.hidden;
  }
  byId('rows').textContent = `${count} of ${rows.length} wires`;
}

/** Takes over a new table, sorted and filtered as the one before. */
export function keepTable() {
  rows = [...byId('table').querySelectorAll('tbody tr')];
  byId('table').querySelectorAll('th button').forEach((button, column) => button.addEventListener('click', () => {
    chosen.order = column === chosen.column ? NEXT[chosen.order] : 'ascending';
    chosen.column = column;
    sort();
  }));
  sort();
  filter();
}

byId('filter').addEventListener('input', filter);
byId('flagged').addEventListener('change', filter);
