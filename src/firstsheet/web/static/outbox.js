// Marks are kept here first and sent afterwards, until the book says it has them. Nothing is ever deleted.

const WAITS_MS = [1000, 2000, 4000, 8000, 15000, 30000];

export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
}

function openBase() {
  return new Promise((done, failed) => {
    const asked = indexedDB.open("firstsheet-trays", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("marks", { keyPath: "id" }).createIndex("code", "code");
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => failed(asked.error);
  });
}

function finished(change) {
  return new Promise((done, failed) => {
    change.oncomplete = () => done();
    change.onerror = change.onabort = () => failed(change.error);
  });
}

// known: marks that the book already holds. onChange({waiting, total, refused, memory}) after every change.
export async function openOutbox(code, url, known, onChange) {
  const marks = new Map();
  let base = null;
  try {
    base = await openBase();
    const stored = await new Promise((done, failed) => {
      const asked = base.transaction("marks").objectStore("marks").index("code").getAll(code);
      asked.onsuccess = () => done(asked.result);
      asked.onerror = () => failed(asked.error);
    });
    for (const mark of stored) marks.set(mark.id, mark);
  } catch {
    base = null; // some browsers keep nothing in private windows: the page says so
  }
  for (const mark of known) marks.set(mark.id, { ...mark, code, kept: true });

  let sending = false;
  let again = false;
  let tries = 0;
  let refused = false;
  let timer = 0;

  const waiting = () => [...marks.values()].filter((m) => !m.kept);
  const told = () => onChange({ waiting: waiting().length, total: marks.size, refused, memory: base === null, all: [...marks.values()] });

  async function store(mark) {
    if (!base) return;
    const change = base.transaction("marks", "readwrite", { durability: "strict" }); // on the disk, not on its way
    change.objectStore("marks").put(mark);
    try { await finished(change); } catch { base = null; }
  }

  async function send() {
    clearTimeout(timer);
    if (!url) return; // a card: its marks are handed in by hand
    if (sending) { again = true; return; }
    const batch = waiting();
    if (!batch.length) return;
    sending = true;
    again = false;
    const stop = new AbortController();
    const limit = setTimeout(() => stop.abort(), 8000);
    try {
      const body = batch.map(({ id, kind, step, elapsed_s, wall_ms }) => ({ id, kind, step, elapsed_s, wall_ms }));
      const answer = await fetch(url, {
        method: "POST",
        headers: { "Content-Type": "application/json", "X-Firstsheet": "1" },
        body: JSON.stringify({ marks: body }),
        signal: stop.signal,
      });
      refused = answer.status >= 400 && answer.status < 500;
      if (!answer.ok) throw new Error(String(answer.status));
      const { kept } = await answer.json();
      let some = false;
      for (const id of kept) {
        const mark = marks.get(id);
        if (!mark || mark.kept) continue;
        some = true;
        mark.kept = true;
        await store(mark);
      }
      tries = some ? 0 : tries + 1;
    } catch {
      tries += 1;
    }
    clearTimeout(limit);
    sending = false;
    told();
    if (waiting().length) timer = setTimeout(send, again && tries === 0 ? 0 : WAITS_MS[Math.min(tries, WAITS_MS.length) - 1] ?? 0);
  }

  addEventListener("online", send);
  addEventListener("pageshow", send);
  told();
  send();

  return {
    all: () => [...marks.values()],
    waiting: () => waiting().length,
    send,
    // The mark counts at once, on this page; the promise is kept, and it is told, when it is on the phone's own store.
    add(kind, step, elapsed_s, wall_ms) {
      const mark = { id: newId(), code, kind, step, elapsed_s, wall_ms, kept: false };
      marks.set(mark.id, mark);
      return store(mark).then(() => { told(); send(); return mark; });
    },
  };
}
