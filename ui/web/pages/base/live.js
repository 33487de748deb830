// Keeps a page up to date: one line from the server tells of edits and plans;
// regions that differ are put in their place. Pages that want more (the grid)
// listen to "keyon" events on the document.
const body = document.body;
let edit = +body.dataset.edit || 0;
let planned = body.dataset.planned === "true";
let waiting = null;

const state = text => { for (const e of document.querySelectorAll("[data-state]")) e.textContent = text; };

// refresh reads the page anew and replaces the regions that changed, unless
// somebody is typing in one.
async function refresh() {
  if (waiting) { waiting.again = true; return; }
  waiting = { again: false };
  try {
    const r = await fetch(location.href, { headers: { Accept: "text/html" } });
    if (r.ok && !r.redirected) {
      const page = new DOMParser().parseFromString(await r.text(), "text/html");
      for (const is of page.querySelectorAll("[data-region]")) {
        const was = document.querySelector(`[data-region="${is.dataset.region}"]`);
        if (!was || was.isEqualNode(is) || was.querySelector("details[open] form") || was.contains(document.activeElement) && document.activeElement.matches("input,select,textarea")) continue;
        const focus = was.contains(document.activeElement) ? document.activeElement.id : "";
        was.replaceWith(document.importNode(is, true));
        if (focus) document.getElementById(focus)?.focus();
      }
      document.dispatchEvent(new CustomEvent("keyon-refreshed"));
    }
  } catch { /* the line tells when the server is back */ }
  const again = waiting.again;
  waiting = null;
  if (again) refresh();
}

function counts(c) {
  for (const e of document.querySelectorAll("[data-counts]")) {
    e.replaceChildren();
    for (const [key, sign, word] of [["Stop", "■", "stop"], ["Look", "▲", "to look at"]]) {
      if (!c[key]) continue;
      const b = document.createElement("b");
      b.className = key.toLowerCase();
      b.textContent = `${sign} ${c[key]}`;
      const q = document.createElement("span");
      q.className = "quiet";
      q.textContent = " " + word;
      b.append(q);
      e.append(b);
    }
  }
}

function told(e) {
  if (e.closed) { location.href = "/"; return; }
  if (!e.planned) {
    state("working it out …");
    document.dispatchEvent(new CustomEvent("keyon-edit", { detail: e }));
    return;
  }
  if (e.counts) counts(e.counts);
  state(e.early ? "working it out …" : e.broken ? "part of the plan is missing" : "worked out");
  const news = e.edit !== edit || !e.early !== planned || e.again;
  edit = e.edit;
  planned = !e.early;
  body.dataset.edit = edit;
  body.dataset.planned = planned;
  document.dispatchEvent(new CustomEvent("keyon-view", { detail: e }));
  if (news) refresh();
}

export function listen(table) {
  const line = new EventSource(`/events?edit=${edit}&planned=${planned}${table ? "&table=" + encodeURIComponent(table) : ""}`);
  line.onmessage = m => told(JSON.parse(m.data));
  line.onerror = () => {
    state("no line to the desk");
    if (line.readyState === EventSource.CLOSED) setTimeout(() => listen(table), 2000);
  };
  addEventListener("pagehide", () => line.close());
}

export function toast(text, kind) {
  const t = document.createElement("div");
  t.className = "toast " + (kind || "");
  t.setAttribute("role", kind === "stop" ? "alert" : "status");
  t.textContent = text;
  body.append(t);
  setTimeout(() => t.remove(), kind === "stop" ? 9000 : 4000);
}

// "/" goes to the search box, as long as nobody is typing.
addEventListener("keydown", e => {
  if (e.key === "/" && !e.ctrlKey && !e.metaKey && !e.altKey && !e.target.closest("input,textarea,select,[contenteditable],.tabulator")) {
    const q = document.getElementById("q");
    if (q && q.offsetParent) { q.focus(); e.preventDefault(); }
  }
  if (e.key === "Escape") for (const d of document.querySelectorAll("details.more[open]")) { d.open = false; d.querySelector("summary").focus(); }
});
addEventListener("click", e => { for (const d of document.querySelectorAll("details.more[open]")) if (!d.contains(e.target)) d.open = false; });

if (body.dataset.live && body.dataset.page !== "table") listen();
