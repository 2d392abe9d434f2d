// Sessions kept on the phone: written after every ewe, so that a flat battery costs at most the one in hand.

const PREFIX = "tupping-session/";

export function save(session) {
  localStorage.setItem(PREFIX + session.id, JSON.stringify(session));
}

export function load(id) {
  const kept = localStorage.getItem(PREFIX + id);
  return kept === null ? null : JSON.parse(kept);
}

export function remove(id) {
  localStorage.removeItem(PREFIX + id);
}

export function all() {
  return Object.keys(localStorage)
    .filter((key) => key.startsWith(PREFIX))
    .map((key) => JSON.parse(localStorage.getItem(key)))
    .sort((one, other) => other.id.localeCompare(one.id));
}

// Names in time order, and no two alike even when begun within one millisecond.
export function newId() {
  const noise = crypto.getRandomValues(new Uint32Array(1))[0].toString(36);
  return `${new Date().toISOString()}-${noise}`;
}
