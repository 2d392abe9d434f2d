import { SCORES, csv, fileName, percent, said, sameTag, thin, verdict, wilson } from "./record.js";
import * as store from "./store.js";

const at = (id) => document.getElementById(id);
const SHOWN = 6; // last scores on the screen
let session = null; // the one being scored; what is on the screen follows from it and the address

function trouble(message) {
  at("trouble").textContent = message;
  at("trouble").hidden = message === "";
}

// Returns whether it was kept: a score that could not be written down must not look as if it had been.
function keep(changed) {
  try {
    store.save(changed);
  } catch {
    trouble("This phone has no room to keep the scores. Finish and save the file now.");
    return false;
  }
  session = changed;
  trouble("");
  return true;
}

function show(name) {
  for (const screen of ["start", "scoring", "done"]) at(screen).hidden = screen !== name;
  scrollTo(0, 0);
}

function open(id) {
  session = id ? store.load(id) : null;
  if (session === null) return showStart();
  return showScoring();
}

function go(id) {
  history.pushState(null, "", id ? `#${encodeURIComponent(id)}` : location.pathname + location.search);
  open(id);
}

function showStart() {
  show("start");
  const list = store.all();
  at("sessions").replaceChildren(...list.map(sessionLine));
  if (list.length === 0) at("sessions").append(element("li", "No session yet."));
}

function sessionLine(kept) {
  const line = element("li");
  const more = element("button", "Open");
  more.addEventListener("click", () => go(kept.id));
  const remove = element("button", "Remove", "remove");
  remove.addEventListener("click", () => {
    if (confirm(`Remove ${kept.entries.length} scores of ${kept.group}? They cannot be brought back.`)) {
      store.remove(kept.id);
      showStart();
    }
  });
  line.append(element("span", `${kept.farm} ${kept.group}, ${kept.scored_on}: ${kept.entries.length} scored`), more, remove);
  return line;
}

function element(name, text = "", style = "") {
  const made = document.createElement(name);
  made.textContent = text;
  made.className = style;
  return made;
}

function begin(event) {
  event.preventDefault();
  const form = new FormData(at("head"));
  const words = (name) => String(form.get(name)).trim();
  const begun = {
    id: store.newId(), way: event.submitter?.value ?? "tally", entries: [],
    farm: words("farm"), group: words("group"), scored_on: words("scored_on"),
    scorer: words("scorer"), stage: words("stage"),
    low: Number(form.get("low")), flock: form.get("flock") ? Number(form.get("flock")) : null,
  };
  if (keep(begun)) go(begun.id);
}

function showScoring() {
  show("scoring");
  at("which").textContent = `${session.farm} · ${session.group}`;
  at("ewe").hidden = session.way !== "individual";
  at("said").textContent = "";
  redraw();
}

function redraw() {
  const n = session.entries.length;
  at("share").textContent = shareWords();
  at("interval").textContent = n ? intervalWords() : "Touch a score for each ewe.";
  at("hint").textContent = n ? hint() : "";
  at("undo").disabled = n === 0;
  at("recent").replaceChildren(...session.entries.slice(-SHOWN).reverse().map(recentLine));
  for (const button of at("scores").children) {
    const score = Number(button.dataset.score);
    const count = session.entries.filter((entry) => Math.floor(entry.score * 2) / 2 === score).length;
    button.querySelector("small").textContent = count ? String(count) : " ";
  }
}

function shareWords() {
  const n = session.entries.length;
  const count = thin(session);
  return n ? `${count} of ${n} thin: ${percent(count / n)}` : "No ewe scored yet";
}

function intervalWords() {
  const [low, high] = wilson(thin(session), session.entries.length, session.flock);
  return `The whole group: between ${percent(low)} and ${percent(high)} thin (90 % interval, below ${said(session.low)}).`;
}

function hint() {
  const said = verdict(session, stopping);
  if (said === "go on") return "";
  return `Enough to tell: surely ${said === "over" ? "more" : "fewer"} than ${percent(limit)} thin.`;
}

function recentLine(entry, place) {
  const line = element("li");
  const name = session.way === "individual" ? entry.tag : `ewe ${session.entries.length - place}`;
  line.append(element("span", name), element("span", said(entry.score), entry.score < session.low ? "thin" : ""));
  return line;
}

function record(half) {
  const score = half + (at("quarter").ariaPressed === "true" ? 0.25 : 0);
  if (score > 5) return say("The scale ends at 5.");
  const entry = session.way === "individual" ? eweEntry(score) : { score };
  if (entry === null || !keep({ ...session, entries: [...session.entries, entry] })) return undefined;
  at("quarter").ariaPressed = "false";
  at("ewe").reset();
  say(`${said(score)} kept.`);
  return redraw();
}

function eweEntry(score) {
  const form = new FormData(at("ewe"));
  const tag = String(form.get("tag")).trim();
  if (tag === "") return say("Read or type the tag first.");
  const before = session.entries.find((entry) => sameTag(entry.tag, tag));
  if (before) return say(`${tag} is scored already: ${said(before.score)}.`);
  const marked = Object.fromEntries(["teeth", "lame", "udder"].map((what) => [what, form.has(what)]));
  return { score, tag, ...marked };
}

function say(message) {
  at("said").textContent = message;
  return null;
}

function undo() {
  const last = session.entries.at(-1);
  if (keep({ ...session, entries: session.entries.slice(0, -1) })) say(`${said(last.score)} taken back.`);
  redraw();
}

function finish() {
  show("done");
  at("done-which").textContent = `${session.farm} · ${session.group}`;
  at("done-share").textContent = `${shareWords()}. ${session.entries.length ? intervalWords() : ""}`;
  at("download").href = `data:text/csv;charset=utf-8,${encodeURIComponent(csv(session))}`;
  at("download").download = fileName(session);
  at("sent").textContent = "";
  offerSending();
}

// A server that takes files says where in a <meta>; out of signal the file stays here and can be sent later.
function offerSending() {
  const there = document.querySelector('meta[name="import-address"]');
  at("send").hidden = there === null || !navigator.onLine || session.entries.length === 0;
}

function token() {
  const found = document.cookie.split("; ").find((part) => part.startsWith("_csrf_token="));
  return found ? decodeURIComponent(found.slice("_csrf_token=".length)) : "";
}

async function post(address, replaces) {
  const body = new FormData();
  body.append("file", new Blob([csv(session)], { type: "text/csv" }), fileName(session));
  if (replaces) body.append("replaces", replaces);
  const headers = { "X-CSRFToken": token(), Accept: "application/json" };
  const answer = await fetch(address, { method: "POST", headers, body });
  return { status: answer.status, ...(await answer.json().catch(() => ({}))) };
}

// Asking first brings the session's token along. A session sent before is replaced only when that is wanted.
async function sending(address) {
  const ready = await fetch(address, { headers: { Accept: "application/json" } });
  if (ready.status === 401) return "You are signed out at the practice. Sign in there, then send again: the scores are safe here.";
  let told = await post(address);
  if (told.replaces) {
    if (!confirm(`${told.error} Replace it?`)) return "Not sent. The scores are safe here.";
    told = await post(address, told.replaces);
  }
  if (told.said) return `Sent. ${told.said}`;
  return `Not taken: ${told.error ?? `answer ${told.status}`} Save the file and import it by hand.`;
}

async function send() {
  const { content: address } = document.querySelector('meta[name="import-address"]');
  at("send").disabled = true;
  try {
    at("sent").textContent = await sending(address);
  } catch {
    at("sent").textContent = "No signal: the scores are safe here. Send them later, or save the file.";
  } finally {
    at("send").disabled = false;
  }
}

async function readyForNoSignal() {
  const state = at("offline-state");
  if (!("serviceWorker" in navigator)) {
    state.textContent = "This address is not secure (https): keep the page open while out of signal.";
    return;
  }
  await navigator.serviceWorker.register("worker.js");
  await navigator.serviceWorker.ready;
  state.textContent = "Ready for use out of signal. Every score is kept on this phone at once.";
  await navigator.storage?.persist?.();
}

function scoreButton(score) {
  const button = element("button", said(score));
  button.type = "button";
  button.dataset.score = String(score);
  button.append(element("small"));
  button.addEventListener("click", () => record(score));
  return button;
}

function lineOption(low) {
  const option = element("option", said(low));
  option.value = String(low);
  option.selected = low === 2.5;
  return option;
}

function today() {
  const now = new Date();
  return new Date(now.getTime() - now.getTimezoneOffset() * 60_000).toISOString().slice(0, 10);
}

function choose(list, wanted) {
  const found = [...list.options].find((option) => option.value === wanted);
  if (found) list.value = found.value;
}

// A farm may have a line of its own, which the link then names.
function linesToChoose(asked) {
  const lines = new Set([1.75, 2, 2.25, 2.5, 2.75, 3, 3.25, 3.5]);
  if (asked >= 1 && asked <= 5) lines.add(asked);
  return [...lines].sort((one, other) => one - other);
}

function prefill() {
  const asked = new URLSearchParams(location.search);
  const form = at("head").elements;
  form.low.append(...linesToChoose(Number(asked.get("low"))).map(lineOption));
  form.scored_on.value = today();
  form.scored_on.max = today();
  for (const name of ["farm", "group"]) if (asked.has(name)) form[name].value = asked.get(name);
  for (const name of ["stage", "low"]) choose(form[name], asked.get(name));
}

at("head").addEventListener("submit", begin);
at("ewe").addEventListener("submit", (event) => {
  event.preventDefault(); // a stick reader ends the number with Enter: the thumb comes next
  document.activeElement.blur();
});
at("scores").append(...SCORES.map(scoreButton));
at("quarter").addEventListener("click", () => {
  at("quarter").ariaPressed = at("quarter").ariaPressed === "true" ? "false" : "true";
});
at("undo").addEventListener("click", undo);
at("finish").addEventListener("click", finish);
at("more").addEventListener("click", showScoring);
at("send").addEventListener("click", send);
for (const button of [at("leave"), at("home")]) button.addEventListener("click", () => go(""));
for (const change of ["online", "offline"]) addEventListener(change, () => session && offerSending());
addEventListener("popstate", () => open(decodeURIComponent(location.hash.slice(1))));

const { limit, ...stopping } = await fetch("stopping.json").then((answer) => answer.json());
prefill();
open(decodeURIComponent(location.hash.slice(1)));
readyForNoSignal().catch(() => trouble("Could not get ready for use out of signal: reload while there is signal."));
