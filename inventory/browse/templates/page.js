'use strict';
(() => {
const table = document.getElementById('lots');
if (!table) return;
const form = document.getElementById('find'), at = form.elements, body = table.tBodies[0];
const rows = [...body.rows], heads = [...table.tHead.rows[0].cells];
const texts = new Map(rows.map(r => [r, r.textContent.toLowerCase()]));
const words = new Intl.Collator('en', {numeric: true});
const numbers = [0, 4];
let down = false;

// What a cell is sorted by; the value comes after its kind.
const key = (row, column) => row.cells[column].dataset.k;

const compare = (a, b, column) => {
  const x = key(a, column), y = key(b, column);
  if (x === '' || y === '') return (x === '') - (y === '');
  const order = column === 3 ? words.compare(a.dataset.kind, b.dataset.kind) || x - y :
    numbers.includes(column) ? x - y : words.compare(x, y);
  return down ? -order : order;
};

const sort = () => {
  const column = Number(at.sort.value);
  rows.sort((a, b) => compare(a, b, column) || key(a, 0) - key(b, 0));
  body.append(...rows);
  heads.forEach((h, i) => h.setAttribute('aria-sort',
    i !== column ? 'none' : down ? 'descending' : 'ascending'));
  at.turn.textContent = down ? '↑' : '↓';
};

const filter = () => {
  const wanted = at.text.value.toLowerCase().split(/\s+/);
  let shown = 0;
  for (const r of rows) {
    const text = texts.get(r);
    r.hidden = !wanted.every(w => text.includes(w)) ||
      at.kind.value !== '' && r.dataset.kind !== at.kind.value ||
      at.low.checked && !('low' in r.dataset);
    if (!r.hidden) shown++;
  }
  form.querySelector('output').textContent = shown + ' of ' + rows.length;
};

// A link shows what it leads to, whatever was filtered.
const follow = () => {
  const target = document.getElementById(location.hash.slice(1));
  if (!target) return;
  if (target.hidden) {
    at.text.value = at.kind.value = '';
    at.low.checked = false;
    filter();
  }
  const details = target.querySelector('details');
  if (details) details.open = true;
  target.scrollIntoView();
};

heads.forEach((h, i) => {
  const button = document.createElement('button');
  button.type = 'button';
  button.textContent = h.textContent;
  button.addEventListener('click', () => {
    down = at.sort.value === String(i) && !down;
    at.sort.value = i;
    sort();
  });
  h.replaceChildren(button);
});
form.addEventListener('submit', e => e.preventDefault());
for (const name of ['text', 'kind', 'low']) at[name].addEventListener('input', filter);
at.sort.addEventListener('input', () => { down = false; sort(); });
at.turn.addEventListener('click', () => { down = !down; sort(); });
addEventListener('hashchange', follow);
form.hidden = false;
sort();
filter();
follow();
})();
