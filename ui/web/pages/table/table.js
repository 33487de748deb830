// A table of the car in a grid: typing, marking, blocks to and from a
// spreadsheet. The server decides everything; this sends what was typed with
// what was seen, and shows what comes back.
import { TabulatorFull as Tabulator } from "../../vendor/tabulator/tabulator.js";
import { listen, toast } from "../base/live.js";

const box = document.getElementById("grid");
const news = document.getElementById("news");
const side = document.getElementById("why");
const name = box?.dataset.table;
const base = "/table/" + encodeURIComponent(name) + "/";
const mayEdit = box?.dataset.mayEdit === "true";
const draft = "new"; // id of the empty row at the end
const signs = { stop: "■", look: "▲", note: "●" };
let grid, columns, fields;

const blank = () => ({ t: "", v: "", s: "", f: "", w: "" });
const shown = c => c.v || c.t || "";
const rowOf = r => {
  const o = { id: r.id, plan: r.plan };
  r.cells.forEach((c, i) => { o["c" + i] = { ...blank(), ...c }; });
  return o;
};
const draftRow = () => rowOf({ id: draft, cells: columns.map(blank) });

// post sends JSON and gives the answer; an error is told where it is not a
// conflict.
async function post(where, what) {
  let r;
  try {
    r = await fetch(where, { method: "POST", headers: { "Content-Type": "application/json", Accept: "application/json" }, body: JSON.stringify(what) });
  } catch {
    toast("No line to the desk: nothing was saved", "stop");
    return { error: "no line" };
  }
  const a = await r.json().catch(() => ({ error: r.statusText }));
  if (a.error && !a.conflict) toast(a.error + (a.hint ? ". " + a.hint : ""), "stop");
  return a;
}

// Edits go out one after the other. Until the view that includes it arrives,
// a cell shows what was typed.
let queue = Promise.resolve();
const pending = new Map(); // row and column → { text, edit }
const keyOf = (row, column) => row + "\x1f" + column;

function send(writes, rows, what) {
  for (const w of writes) pending.set(keyOf(w.row, w.column), { text: w.text, edit: Infinity });
  queue = queue.then(async () => {
    for (const w of writes) if (w.row === draft && draftID) w.row = draftID;
    const first = writes.filter(w => w.row === draft);
    const adds = rows.slice();
    if (first.length) adds.push(Object.fromEntries(first.map(w => [w.column, w.text])));
    const a = await post(base + "change", { what, writes: writes.filter(w => w.row !== draft), rows: adds });
    if (a.edit) {
      for (const w of writes) {
        const p = pending.get(keyOf(w.row, w.column)) || pending.get(keyOf(draft, w.column));
        if (p) p.edit = a.edit;
      }
      if (first.length && a.rows?.length) adopt(a.rows[a.rows.length - 1]);
      settle(+document.body.dataset.edit);
      return;
    }
    for (const w of writes) pending.delete(keyOf(w.row, w.column));
    if (a.conflict) await conflict(a.conflict, writes, rows, what);
    else reload();
  });
  return queue;
}

// adopt makes the draft row the row that was added, and begins a new draft.
let draftID = "";
function adopt(uid) {
  draftID = uid;
  const row = grid.getRow(draft);
  if (!row) return;
  const there = grid.getRow(uid); // the view was faster
  if (there) {
    row.update(draftRow());
    draftID = "";
    return;
  }
  row.update({ id: uid });
  for (const c of columns) {
    const p = pending.get(keyOf(draft, c.name));
    if (p) { pending.delete(keyOf(draft, c.name)); pending.set(keyOf(uid, c.name), p); }
  }
  grid.addRow(draftRow(), false);
  draftID = "";
}

// settle forgets edits that the view of that number includes.
function settle(edit) {
  for (const [k, p] of pending) if (p.edit <= edit) pending.delete(k);
}

function conflict(c, writes, rows, what) {
  const dialog = document.getElementById("conflict");
  const w = writes.find(w => w.row === c.row && w.column === c.column) || writes[0];
  document.getElementById("conflict-what").textContent = `${name}, column ${c.column}: the text is another than you saw. Nothing was changed.`;
  for (const k of ["saw", "holds", "text"]) document.getElementById("conflict-" + k).textContent = c[k] || "blank";
  dialog.showModal();
  return new Promise(done => {
    const close = write => {
      dialog.close();
      dialog.onclose = null;
      if (write) { w.saw = c.holds; send(writes, rows, what); }
      reload();
      done();
    };
    document.getElementById("conflict-leave").onclick = () => close(false);
    document.getElementById("conflict-write").onclick = () => close(true);
    dialog.oncancel = () => close(false);
  });
}

// draw shows a cell: its text, how it came to be, and its worst finding.
function draw(cell) {
  const c = cell.getValue() || blank();
  const el = cell.getElement();
  const row = cell.getData();
  for (const k of "wkog") el.classList.toggle(k, c.s === k);
  el.classList.toggle("saving", pending.has(keyOf(row.id, columns[+cell.getField().slice(1)].name)));
  const out = document.createDocumentFragment();
  const v = document.createElement("span");
  v.className = "v";
  v.textContent = shown(c);
  if (row.id === draft && !shown(c) && cell.getField() === "c0") { v.className = "must"; v.textContent = "type here to add a row"; }
  out.append(v);
  if (c.f) {
    const s = document.createElement("span");
    s.className = "f " + c.f;
    s.textContent = signs[c.f];
    s.title = c.w;
    const q = document.createElement("span");
    q.className = "quiet";
    q.textContent = c.f + ": " + c.w;
    s.append(q);
    out.prepend(s);
  }
  const span = document.createElement("div");
  span.append(out);
  return span;
}

// type is the editor: a field, with a pick list where the server has one.
function type(cell, rendered, done, cancel, how) {
  const c = cell.getValue() || blank();
  const column = columns[+cell.getField().slice(1)];
  const input = document.createElement("input");
  input.value = how.first ?? c.t;
  input.setAttribute("aria-label", column.name);
  input.autocomplete = "off";
  input.spellcheck = false;
  let list = null, at = -1, asked = 0, ended = false;

  const end = (text, move) => {
    if (ended) return;
    ended = true;
    list?.remove();
    if (text === null || text === c.t) cancel(); else done({ ...c, t: text, v: "", s: "" });
    if (move) step(cell, move);
  };
  const ask = async () => {
    const n = ++asked;
    const q = new URLSearchParams({ table: name, row: cell.getData().id, column: column.name, q: input.value === c.t ? "" : input.value });
    let found = [];
    try { found = await (await fetch("/pick?" + q, { headers: { Accept: "application/json" } })).json(); } catch { return; }
    if (n !== asked || ended || !Array.isArray(found)) return;
    list?.remove();
    list = null;
    at = -1;
    input.removeAttribute("aria-activedescendant");
    if (!found.length) { input.setAttribute("aria-expanded", "false"); return; }
    list = document.createElement("ul");
    list.className = "picklist";
    list.id = "picklist";
    list.setAttribute("role", "listbox");
    found.forEach((x, i) => {
      const li = document.createElement("li");
      li.id = "pick-" + i;
      li.setAttribute("role", "option");
      li.textContent = x.text;
      if (x.note) { const s = document.createElement("small"); s.textContent = x.note; li.append(s); }
      li.addEventListener("mousedown", e => { e.preventDefault(); end(chosen(x.text)); });
      li.dataset.text = x.text;
      list.append(li);
    });
    document.body.append(list);
    const r = input.getBoundingClientRect();
    const below = innerHeight - r.bottom > 200;
    list.style.left = Math.min(r.left, innerWidth - 240) + "px";
    list.style.top = below ? r.bottom + "px" : "auto";
    list.style.bottom = below ? "auto" : innerHeight - r.top + "px";
    input.setAttribute("aria-expanded", "true");
  };
  // of a list of names the last is being typed
  const chosen = text => column.kind === "list" && /[,;]/.test(input.value) ? input.value.replace(/[^,;]*$/, " " + text) : text;
  const mark = i => {
    const all = [...list.children];
    at = (i + all.length) % all.length;
    all.forEach((li, k) => li.setAttribute("aria-selected", k === at));
    all[at].scrollIntoView({ block: "nearest" });
    input.setAttribute("aria-activedescendant", all[at].id);
  };
  input.addEventListener("keydown", e => {
    e.stopPropagation();
    const pick = list && at >= 0 ? chosen(list.children[at].dataset.text) : input.value;
    switch (e.key) {
      case "Enter": e.preventDefault(); end(pick, e.shiftKey ? "up" : "down"); break;
      case "Tab": e.preventDefault(); end(pick, e.shiftKey ? "left" : "right"); break;
      case "Escape": e.preventDefault(); if (list) { list.remove(); list = null; at = -1; } else end(null); break;
      case "ArrowDown": if (list) { e.preventDefault(); mark(at + 1); } break;
      case "ArrowUp": if (list) { e.preventDefault(); mark(at - 1); } break;
    }
  });
  input.addEventListener("blur", () => end(input.value));
  if (column.pick) {
    input.setAttribute("role", "combobox");
    input.setAttribute("aria-expanded", "false");
    input.setAttribute("aria-controls", "picklist");
    input.setAttribute("aria-autocomplete", "list");
    input.addEventListener("input", ask);
  }
  rendered(() => {
    input.focus({ preventScroll: true });
    if (how.first === undefined) input.select();
    if (column.pick) ask();
  });
  return input;
}

// step marks the cell beside one.
function step(cell, way) {
  const rows = grid.getRows("active");
  const r = rows.findIndex(x => x.getData().id === cell.getData().id);
  const c = fields.indexOf(cell.getField());
  const row = rows[Math.max(0, Math.min(rows.length - 1, r + (way === "down") - (way === "up")))];
  const field = fields[Math.max(0, Math.min(fields.length - 1, c + (way === "right") - (way === "left")))];
  if (row) markCell(row.getCell(field));
}

function markCell(cell) {
  const range = grid.getRanges()[0];
  if (!cell) return;
  if (range) range.setBounds(cell, cell); else grid.addRange(cell, cell);
  cell.getElement()?.scrollIntoView?.({ block: "nearest", inline: "nearest" });
}

// marked are the cells of the range, row by row, without the row numbers.
function marked() {
  const range = grid.getRanges()[0];
  if (!range) return [];
  return range.getStructuredCells().map(line => line.filter(c => /^c\d+$/.test(c.getField() || ""))).filter(line => line.length);
}
const columnOf = cell => columns[+cell.getField().slice(1)];
const seen = cell => { const c = cell.getValue(); return { row: cell.getData().id, column: columnOf(cell).name, text: c.t, shown: c.v || "" }; };

function write(cell, text) {
  const c = cell.getValue();
  const w = { row: cell.getData().id, column: columnOf(cell).name, saw: c.t, text };
  pending.set(keyOf(w.row, w.column), { text, edit: Infinity });
  cell.setValue({ ...c, t: text, v: "", s: "" });
  return w;
}

// block parses what a spreadsheet puts on the clipboard: tabs, line breaks,
// and quotes round cells that hold either.
function block(text) {
  const rows = [[]];
  let cell = "", quoted = false, begun = false;
  const put = () => { rows[rows.length - 1].push(cell); cell = ""; begun = false; };
  for (let i = 0; i < text.length; i++) {
    const ch = text[i];
    if (quoted) {
      if (ch === '"' && text[i + 1] === '"') { cell += '"'; i++; }
      else if (ch === '"') quoted = false;
      else cell += ch;
    } else if (ch === '"' && !begun) { quoted = true; begun = true; }
    else if (ch === "\t") put();
    else if (ch === "\n") { put(); rows.push([]); }
    else if (ch !== "\r" || text[i + 1] !== "\n") { cell += ch; begun = true; }
  }
  if (cell || rows[rows.length - 1].length) put(); else rows.pop();
  return rows;
}
const quote = s => /[\t\n"]/.test(s) ? '"' + s.replaceAll('"', '""') + '"' : s;

function paste(text) {
  const lines = block(text);
  const cells = marked();
  if (!lines.length || !cells.length) return;
  const fold = s => s.trim().toLowerCase();
  const heads = lines[0].map(h => columns.findIndex(c => fold(c.name) === fold(h)));
  if (lines.length > 1 && heads.length > 1 && heads.every(i => i >= 0)) { // with its headings: new rows
    const rows = lines.slice(1).map(l => Object.fromEntries(l.map((t, i) => [columns[heads[i]].name, t]).filter(x => x[1] !== "")));
    send([], rows.filter(r => Object.keys(r).length), "paste").then(() => toast(`${rows.length} rows pasted`));
    return;
  }
  const writes = [], rows = [];
  if (lines.length === 1 && lines[0].length === 1) {
    for (const line of cells) for (const c of line) writes.push(write(c, lines[0][0]));
  } else {
    const all = grid.getRows("active").filter(r => r.getData().id !== draft);
    const top = cells[0][0];
    const r0 = top.getData().id === draft ? all.length : all.findIndex(r => r.getData().id === top.getData().id);
    const c0 = fields.indexOf(top.getField());
    lines.forEach((line, i) => {
      const row = all[r0 + i];
      if (row) line.forEach((t, k) => { const f = fields[c0 + k]; if (f) { const c = row.getCell(f); if (c.getValue().t !== t) writes.push(write(c, t)); } });
      else {
        const add = Object.fromEntries(line.map((t, k) => [fields[c0 + k] ? columns[+fields[c0 + k].slice(1)].name : "", t]).filter(x => x[0] && x[1] !== ""));
        if (Object.keys(add).length) rows.push(add);
      }
    });
  }
  if (writes.length || rows.length) send(writes, rows, "paste").then(() => toast(`${lines.length} × ${lines[0].length} cells pasted`));
}

const acts = {
  async give() {
    const cells = marked().flat().filter(c => c.getValue().s === "w" || c.getValue().s === "k").map(seen);
    if (!cells.length) return toast("Mark cells that were worked out or kept");
    const a = await post(base + "give", { cells });
    if (a.conflict) { toast(`It is ${a.conflict.holds} by now, not ${a.conflict.saw}`, "stop"); reload(); }
  },
  async release() {
    const cells = marked().flat().filter(c => c.getData().id !== draft && (c.getValue().t || c.getValue().s === "k")).map(seen);
    if (!cells.length) return;
    const a = await post(base + "release", { cells });
    if (a.conflict) { toast("A cell holds another text by now: look again", "stop"); reload(); }
  },
  fill() {
    let lines = marked();
    if (lines.length === 1) { // one row: from the row above
      const rows = grid.getRows("active");
      const r = rows.findIndex(x => x.getData().id === lines[0][0].getData().id);
      if (r < 1) return;
      lines = [lines[0].map(c => rows[r - 1].getCell(c.getField())), lines[0]];
    }
    if (lines.length < 2) return;
    const writes = [], add = [];
    for (const line of lines.slice(1)) line.forEach((c, k) => {
      const t = shown(lines[0][k].getValue());
      if (c.getData().id !== draft && c.getValue().t !== t) writes.push(write(c, t));
    });
    if (writes.length) send(writes, add, "fill down");
  },
  copy() {
    const text = marked().map(line => line.map(c => quote(shown(c.getValue()))).join("\t")).join("\n");
    if (navigator.clipboard) navigator.clipboard.writeText(text).then(() => toast("Copied"), () => old(text)); else old(text);
  },
  async undo() { const a = await post("/undo", {}); if (a.edit) toast("Taken back: " + a.what); },
  async redo() { const a = await post("/redo", {}); if (a.edit) toast("Done again: " + a.what); },
  async why() {
    const c = marked()[0]?.[0];
    if (!c || c.getData().id === draft) return toast("Mark a cell first");
    const q = new URLSearchParams({ table: name, row: c.getData().id, column: columnOf(c).name });
    const r = await fetch("/why?" + q, { headers: { Accept: "text/html" } });
    const page = new DOMParser().parseFromString(await r.text(), "text/html");
    const what = page.querySelector("article.why") || page.querySelector("main");
    const close = document.createElement("button");
    close.className = "close";
    close.textContent = "close";
    close.onclick = () => { side.hidden = true; grid.redraw(); };
    side.replaceChildren(close, document.importNode(what, true));
    side.hidden = false;
    grid.redraw();
  },
  try() {
    const c = marked()[0]?.[0];
    if (!c || c.getData().id === draft) return toast("Mark a cell first");
    location.href = "/whatif?" + new URLSearchParams({ table: name, row: c.getData().id, column: columnOf(c).name });
  },
  async delete() {
    const rows = [...new Map(marked().flat().map(c => [c.getData().id, c.getRow()])).values()].filter(r => r.getData().id !== draft && !r.getData().plan);
    if (!rows.length) return toast("Only rows that were typed can be deleted");
    const cells = rows.flatMap(r => fields.map(f => seen(r.getCell(f)))).filter(c => columns.find(x => x.name === c.column).kind !== "foreign");
    const a = await post(base + "delete", { rows: rows.map(r => r.getData().id), cells });
    if (a.conflict) { toast("A row has changed meanwhile: look at it again", "stop"); reload(); }
    else if (a.edit) toast(`${rows.length} deleted: Undo brings them back`);
  },
};

// old copies where the browser gives no clipboard, as over a plain line.
function old(text) {
  const t = document.createElement("textarea");
  t.value = text;
  document.body.append(t);
  t.select();
  document.execCommand("copy");
  t.remove();
  toast("Copied");
  box.querySelector(".tabulator-tableholder")?.focus();
}

const editing = () => box.querySelector(".tabulator-editing");

function keys(e) {
  if (editing() || e.target.closest("input,select,textarea")) return;
  const ctrl = e.ctrlKey || e.metaKey;
  const act = ctrl && !e.altKey ? { d: "fill", z: e.shiftKey ? "redo" : "undo", y: "redo" }[e.key.toLowerCase()] :
    e.altKey && !ctrl ? { g: "give", r: "release", w: "why" }[e.key.toLowerCase()] : null;
  if (act && (mayEdit || act === "why")) { e.preventDefault(); acts[act](); return; }
  if (!mayEdit) return;
  if (e.key === "Delete" || e.key === "Backspace") { e.preventDefault(); acts.release(); return; }
  const cell = marked()[0]?.[0];
  if (e.key === "F2" && cell) { e.preventDefault(); first = undefined; cell.edit(true); return; }
  if (!ctrl && !e.altKey && e.key.length === 1 && cell) { // typing begins a new text
    e.preventDefault();
    first = e.key;
    cell.edit(true);
    first = undefined;
  }
}
let first; // what the next editor begins with

function order(a, b, rowA, rowB, column, way) {
  const last = way === "asc" ? 1 : -1; // the draft stays at the end
  if (rowA.getData().id === draft) return last;
  if (rowB.getData().id === draft) return -last;
  return shown(a || blank()).localeCompare(shown(b || blank()), undefined, { numeric: true, sensitivity: "base" });
}

function fits(want, value, row) {
  return row.id === draft || want.toLowerCase().split(/\s+/).every(w => shown(value || blank()).toLowerCase().includes(w));
}

function head(c) {
  return () => {
    const s = document.createElement("span");
    s.textContent = c.name;
    if (c.unit) { const u = document.createElement("small"); u.textContent = " " + c.unit; s.append(u); }
    if (c.help) s.title = c.help;
    return s;
  };
}

// wide guesses a column's width from what stands in it.
function wide(i, rows) {
  let n = columns[i].name.length + (columns[i].unit?.length || 0) + 4;
  for (const r of rows.slice(0, 200)) n = Math.max(n, Math.min(shown(r["c" + i]).length + 2, 34));
  return Math.round(Math.max(76, n * 7.6 + 18));
}

async function load() {
  const a = await (await fetch(base + "rows", { headers: { Accept: "application/json" } })).json();
  document.body.dataset.edit = a.edit;
  columns = a.columns;
  fields = columns.map((_, i) => "c" + i);
  return a.rows.map(rowOf);
}

async function reload() {
  const rows = await load();
  pending.clear();
  if (mayEdit) rows.push(draftRow());
  await grid.replaceData(rows);
}

// keep lays edits that the view does not include over its rows.
function keep(r) {
  for (const [k, p] of pending) {
    const [id, column] = k.split("\x1f");
    if (id !== r.id) continue;
    const i = columns.findIndex(c => c.name === column);
    if (i >= 0) r["c" + i] = { ...r["c" + i], t: p.text, v: "", s: "" };
  }
  return r;
}

async function view(e) {
  if (!grid || !e) return;
  settle(e.edit);
  if (e.again) {
    if (!editing()) await reload();
  } else {
    for (const uid of e.gone || []) grid.getRow(uid)?.delete();
    for (const r of (e.rows || []).map(rowOf).map(keep)) {
      const row = grid.getRow(r.id);
      if (row) row.update(r);
      else if (mayEdit && grid.getRow(draft)) grid.addRow(r, true, draft);
      else grid.addRow(r, false);
    }
    for (const el of box.querySelectorAll(".saving")) el.classList.remove("saving");
  }
  told(e);
}

// told says what an edit did to the findings.
function told(e) {
  const list = document.createElement("ul");
  const line = (f, ended) => {
    const li = document.createElement("li");
    if (ended) li.className = "ended";
    const s = document.createElement("span");
    s.className = "sign " + (ended ? "ok" : f.severity);
    s.textContent = ended ? "✓ gone " : signs[f.severity] + " " + f.severity + " ";
    const a = document.createElement(f.href && !ended ? "a" : "span");
    if (f.href && !ended) a.href = f.href;
    a.textContent = f.title + ": " + f.what;
    li.append(s, a);
    list.append(li);
  };
  for (const f of (e.added || []).slice(0, 6)) line(f, false);
  for (const f of (e.ended || []).slice(0, 4)) line(f, true);
  if (e.who || e.what) {
    const p = document.createElement("span");
    p.textContent = e.what ? `${e.who ? e.who + ": " : ""}${e.what}` + (list.children.length ? " → " : ", no finding came or went") : "";
    news.replaceChildren(p, list);
  }
  news.dataset.edit = e.edit;
}

async function begin() {
  const rows = await load();
  if (mayEdit) rows.push(draftRow());
  grid = new Tabulator(box, {
    index: "id",
    data: rows,
    height: "100%",
    layout: "fitData",
    placeholder: "No rows",
    headerSortClickElement: "icon",
    selectableRange: 1,
    selectableRangeColumns: true,
    selectableRangeRows: true,
    editTriggerEvent: "dblclick",
    keybindings: { navNext: false, navPrev: false },
    rowHeader: { formatter: "rownum", headerSort: false, resizable: false, frozen: true, width: 52, hozAlign: "right", title: "row" },
    columnDefaults: { headerSort: true, resizable: "header" },
    columns: columns.map((c, i) => ({
      title: c.name, field: "c" + i, titleFormatter: head(c), width: wide(i, rows),
      formatter: draw, sorter: order, headerFilter: "input", headerFilterFunc: fits, headerFilterPlaceholder: "filter", headerFilterLiveFilter: true,
      headerFilterParams: { elementAttributes: { "aria-label": "filter " + c.name } },
      editor: mayEdit ? (cell, rendered, done, cancel) => type(cell, rendered, done, cancel, { first }) : false,
    })),
  });
  grid.on("cellEdited", cell => {
    const was = cell.getOldValue() || blank();
    send([{ row: cell.getData().id, column: columnOf(cell).name, saw: was.t, text: cell.getValue().t }], [], "cell");
  });
  await new Promise(done => grid.on("tableBuilt", done));
  box.addEventListener("keydown", keys, true);
  box.addEventListener("copy", e => {
    if (editing() || e.target.closest("input")) return;
    e.preventDefault();
    e.clipboardData.setData("text/plain", marked().map(line => line.map(c => quote(shown(c.getValue()))).join("\t")).join("\n"));
  });
  box.addEventListener("paste", e => {
    if (!mayEdit || editing() || e.target.closest("input")) return;
    e.preventDefault();
    paste(e.clipboardData.getData("text/plain"));
  });
  document.querySelector(".tools").addEventListener("click", e => {
    const b = e.target.closest("[data-do]");
    if (b) { acts[b.dataset.do](); if (b.dataset.do !== "why") box.querySelector(".tabulator-tableholder")?.focus(); }
  });
  goTo(new URLSearchParams(location.search));
  document.addEventListener("keyon-view", e => view(e.detail));
  listen(name);
  box.dataset.ready = "yes";
  globalThis.keyonGrid = grid; // for tests
}

// goTo marks the cell that a link names.
async function goTo(q) {
  let row = q.get("row") && grid.getRow(q.get("row"));
  const find = q.get("find");
  if (!row && find) {
    const parts = find.split("–");
    row = grid.getRows().find(r => { const d = r.getData(); return shown(d.c0) === find || parts.length === 2 && shown(d.c0) === parts[0] && shown(d.c1) === parts[1]; });
  }
  if (!row) return;
  const i = columns.findIndex(c => c.name === q.get("column"));
  await grid.scrollToRow(row, "center", false).catch(() => {});
  if (i > 0) await grid.scrollToColumn("c" + i, "middle", false).catch(() => {});
  markCell(row.getCell("c" + Math.max(0, i)));
  box.querySelector(".tabulator-tableholder")?.focus();
}

document.getElementById("other")?.addEventListener("change", e => { location.href = "/table/" + encodeURIComponent(e.target.value); });
if (box) begin();
