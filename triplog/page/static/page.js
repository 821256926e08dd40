// What the page does beyond plain HTML: it keeps entries while there is no connection and sends them
// later, each with its own key and how long ago it was made; it shows what has changed; it plays the
// tones. Without it everything still works where there is a connection.
"use strict";

const STORE = "triplog-kept";
const words = document.getElementById("waiting").dataset;
const kept = () => JSON.parse(localStorage.getItem(STORE) || "[]");
const keep = (list) => localStorage.setItem(STORE, JSON.stringify(list));

function change(key, edit) {
  keep(kept().flatMap((one) => (one.key === key ? edit(one) : [one])));
}

function show() {
  const list = kept();
  const waiting = list.filter((one) => !one.refused).length;
  const line = document.getElementById("waiting");
  line.hidden = waiting === 0;
  line.textContent = waiting === 1 ? words.one : words.many.replace("{count}", waiting);
  const place = document.getElementById("kept");
  place.replaceChildren(...list.map(shown));
}

function shown(one) {
  const box = document.createElement("div");
  box.className = one.refused ? "refused" : "kept";
  const line = document.createElement("p");
  const what = `${one.what}, ${new Date(one.made).toLocaleTimeString()}`;
  line.textContent = one.refused
    ? `${words.refused.replace("{why}", one.refused)} (${what})`
    : words.unsent.replace("{what}", what);
  box.append(line);
  if (!one.refused) return box;
  const said = document.createElement("p");
  said.className = "small";
  const hidden = ["token", "key", "made_ago_ms"];
  said.textContent = one.fields.filter(([name]) => !hidden.includes(name))
    .map(([name, value]) => `${name}: ${value}`).join("; ");
  const again = document.createElement("a");
  again.className = "button";
  again.href = one.page;
  again.textContent = words.write;
  const drop = document.createElement("button");
  drop.type = "button";
  drop.textContent = words.drop;
  drop.addEventListener("click", () => { change(one.key, () => []); show(); });
  box.append(said, again, " ", drop);
  return box;
}

// One after another, in the order they were made: a later one may rest on an earlier one.
let sending = false;
async function send() {
  if (sending) return;
  sending = true;
  try {
    for (;;) {
      const one = kept().find((each) => !each.refused);
      if (one === undefined) break;
      const answer = await post(one);
      if (answer === null) break;
      if (answer.entry) {
        change(one.key, () => []);
        document.getElementById("said-kept")?.remove();
        tell(words.sent.replace("{what}", `${one.what}. ${(answer.lines || []).join(" ")}`));
      } else {
        change(one.key, (each) => [{ ...each, refused: answer.refused }]);
      }
      show();
    }
  } finally {
    sending = false;
  }
}

async function post(one) {
  const token = document.querySelector('meta[name="token"]').content;
  const fields = one.fields.filter(([name]) => name !== "token" && name !== "made_ago_ms");
  fields.push(["token", token], ["made_ago_ms", String(Math.max(0, Date.now() - one.made))]);
  try {
    const answer = await fetch(one.action, {
      method: "POST", headers: { accept: "application/json" }, redirect: "manual",
      body: new URLSearchParams(fields), signal: AbortSignal.timeout(20000),
    });
    // Busy, paired no more, or an answer of somebody else: it is kept, and tried again later.
    if (answer.status === 503 || answer.status === 401 || answer.status === 0) return null;
    const told = await answer.json().catch(() => null);
    if (told === null) return answer.status >= 500 ? null : { refused: String(answer.status) };
    return answer.status >= 500 ? null : told;
  } catch {
    return null;
  }
}

// What was sent is told on the next page as well: this one may be replaced, for something changed.
const TOLD = "triplog-told";
function tell(text) {
  const told = JSON.parse(sessionStorage.getItem(TOLD) || "[]");
  sessionStorage.setItem(TOLD, JSON.stringify([...told, text]));
  say(text);
}

function say(text) {
  const box = document.createElement("div");
  box.className = "said";
  box.setAttribute("role", "status");
  box.textContent = text;
  document.getElementById("kept").after(box);
  return box;
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.dataset.keep) return;
  event.preventDefault();
  if (form.dataset.busy) return;
  form.dataset.busy = "yes";
  const fields = [...new FormData(form, event.submitter).entries()].map(([name, value]) => [name, String(value)]);
  const key = fields.find(([name]) => name === "key")[1];
  const one = { key, fields, made: Date.now(), action: form.getAttribute("action"), page: location.pathname, what: form.dataset.keep.trim() };
  // Kept first: what is sent and not answered is sent again under the same key, and stands once.
  if (!kept().some((each) => each.key === key)) keep([...kept(), one]);
  const before = kept().filter((each) => !each.refused);
  const answer = before.length > 1 ? null : await post(one);
  if (answer && answer.entry) {
    change(key, () => []);
    location.assign(answer.to);
    return;
  }
  if (answer) {
    // Refused with a connection: the page says why above the form, and what was typed stays.
    change(key, () => []);
    form.querySelectorAll('[name="made_ago_ms"]').forEach((each) => each.remove());
    sendPlainly(form, event.submitter);
    return;
  }
  show();
  say(words.kept).id = "said-kept";
  delete form.dataset.busy;
  draw(form);
  const first = document.querySelector("#waiting");
  first.scrollIntoView({ block: "start" });
  send();
});

function sendPlainly(form, submitter) {
  delete form.dataset.keep;
  if (submitter && submitter.name) {
    const field = document.createElement("input");
    field.type = "hidden";
    field.name = submitter.name;
    field.value = submitter.value;
    form.append(field);
  }
  form.submit();
}

// The form may be used again without a connection: another entry needs another key.
function draw(form) {
  const drawn = crypto.getRandomValues(new Uint8Array(16));
  form.querySelector('[name="key"]').value = [...drawn].map((one) => one.toString(16).padStart(2, "0")).join("");
}

addEventListener("pageshow", (event) => {
  if (event.persisted) document.querySelectorAll("form[data-keep]").forEach((form) => { delete form.dataset.busy; });
});
for (const text of JSON.parse(sessionStorage.getItem(TOLD) || "[]")) say(text);
sessionStorage.removeItem(TOLD);
addEventListener("online", send);
setInterval(send, 10000);
show();
send();

// A QR code brings the pairing code behind the #, where no server and no log sees it.
const entrance = document.getElementById("enter");
if (entrance && location.hash.length > 1) {
  entrance.querySelector("#code").value = location.hash.slice(1);
  history.replaceState(null, "", location.pathname);
  entrance.requestSubmit();
}

// Two rhythms, told apart by ear alone: two short for coming up, three long for due or late.
function tone(stage) {
  const audio = new AudioContext();
  const beats = stage === "coming up" ? [0.12, 0.12] : [0.45, 0.45, 0.45];
  let at = audio.currentTime + 0.05;
  for (const beat of beats) {
    const sound = audio.createOscillator();
    sound.frequency.value = 740;
    sound.connect(audio.destination);
    sound.start(at);
    sound.stop(at + beat);
    at += beat + 0.18;
  }
}

// For gloves: one less and one more beside a count, the usual distances under a distance.
function large(text, name, press) {
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = text;
  if (name) button.setAttribute("aria-label", name);
  button.addEventListener("click", press);
  return button;
}
for (const box of document.querySelectorAll("input[data-less]")) {
  const label = box.labels[0].textContent;
  const by = (step) => { box.value = Math.min(999, Math.max(0, (parseInt(box.value, 10) || 0) + step)) || ""; };
  const row = document.createElement("div");
  row.className = "steps";
  box.replaceWith(row);
  row.append(
    large("\u2212", `${label}: ${box.dataset.less}`, () => by(-1)), box,
    large("+", `${label}: ${box.dataset.more}`, () => by(1)),
  );
}
for (const box of document.querySelectorAll("input[data-usual]")) {
  const row = document.createElement("div");
  row.className = "usual";
  row.append(...box.dataset.usual.split("|").map((far) => large(far, "", () => { box.value = far; })));
  box.after(row);
}

// A tie-down touched in the picture of the deck opens its line, also where the browser does not.
function openLine() {
  const line = location.hash && document.getElementById(location.hash.slice(1));
  const around = line && line.closest("details");
  if (!around) return;
  around.open = true;
  line.focus();
}
addEventListener("hashchange", openLine);
document.querySelectorAll(".touch a").forEach((one) => one.addEventListener("click", () => setTimeout(openLine)));

const saidOf = document.getElementById("said-of");
function countSaid() {
  const lines = [...document.querySelectorAll(".strap")];
  const told = lines.filter((one) => !one.querySelector("input.is-1").checked).length;
  const words = { told, count: lines.length, left: lines.length - told };
  saidOf.textContent = saidOf.dataset.said.replace(/\{(\w+)\}/g, (_, name) => words[name]);
}
if (saidOf) {
  saidOf.closest("form").addEventListener("change", countSaid);
  countSaid();
}

const live = document.body.dataset.live;
let version = document.body.dataset.version;
function changed(now) {
  if (!version || !now || now === version) return;
  version = now;
  location.replace(location.pathname);
}
if (live && !document.body.dataset.still) {
  const asked = () => fetch(live.replace(/live$/, "version"), { headers: { accept: "application/json" } })
    .then((answer) => answer.json()).then((now) => changed(now.is_still ? "still" : now.version)).catch(() => {});
  const stream = new EventSource(live);
  stream.addEventListener("version", (event) => changed(event.data || "still"));
  stream.addEventListener("tone", (event) => tone(event.data));
  setInterval(() => { if (stream.readyState !== EventSource.OPEN) asked(); }, 15000);
} else if (live) {
  new EventSource(live).addEventListener("tone", (event) => tone(event.data));
}

if (isSecureContext && "serviceWorker" in navigator && document.querySelector('meta[name="token"]').content) {
  navigator.serviceWorker.register("/worker.js");
}
