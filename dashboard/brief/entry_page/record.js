// What is recorded and what follows from it. No page, no storage: everything here can be worked out by hand.

export const SCORES = [1, 1.5, 2, 2.5, 3, 3.5, 4, 4.5, 5];
const QUARTERS = { 0: "", 0.25: "¼", 0.5: "½", 0.75: "¾" };
const Z90 = 1.6448536269514722; // standard normal quantile at 95 %: a 90 % interval

export function said(score) {
  const whole = Math.floor(score);
  return `${whole}${QUARTERS[score - whole]}`;
}

export function thin(session) {
  return session.entries.filter((entry) => entry.score < session.low).length;
}

// Wilson's interval of a share with finite-population correction (Wilson 1927; Cochran 1977, 3.3),
// the same as the program's own; `flock` is null where the size of the group is not known.
export function wilson(count, n, flock) {
  const size = flock === null ? Infinity : Math.max(flock, n);
  const correction = size === Infinity ? 1 : size > 1 ? (size - n) / (size - 1) : 0;
  const z2 = Z90 * Z90 * correction;
  const p = count / n;
  const centre = (p + z2 / (2 * n)) / (1 + z2 / n);
  const half = Math.sqrt(z2 * ((p * (1 - p)) / n + z2 / (4 * n * n))) / (1 + z2 / n);
  return [Math.max(0, centre - half), Math.min(1, centre + half)];
}

// The stopping rule: `over[n]` or more thin among the first n say over, `under[n]` or fewer say under. The
// first n that could tell decides, as the rule's error rates suppose.
export function verdict(session, { over, under }) {
  let count = 0;
  for (const [place, entry] of session.entries.slice(0, over.length - 1).entries()) {
    if (entry.score < session.low) count += 1;
    if (count >= over[place + 1]) return "over";
    if (count <= under[place + 1]) return "under";
  }
  return "go on";
}

export function percent(share) {
  return `${Math.round(share * 100)} %`;
}

// The tag as the import compares it: letters' case and spaces do not tell two ewes apart.
export function sameTag(one, other) {
  const plain = (tag) => tag.replace(/\s+/g, "").toUpperCase();
  return plain(one) === plain(other);
}

// The tag as printed, which a spreadsheet leaves as it is: 15 bare digits would become 8.26E+14.
export function printedTag(tag) {
  const plain = tag.replace(/\s+/g, "");
  const uk = /^8260(\d{6})(\d{5})$/.exec(plain);
  if (uk) return `UK 0 ${uk[1]} ${uk[2]}`;
  return /^\d{15}$/.test(plain) ? `ID ${plain.slice(0, 3)} ${plain.slice(3)}` : tag;
}

export function fileName(session) {
  const plain = (text) => text.replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-|-$/g, "");
  return `scores-${plain(session.farm)}-${plain(session.group)}-${session.scored_on}.csv`;
}

export function csv(session) {
  const rows = session.way === "individual" ? eweRows(session) : tallyRows(session);
  return rows.map((row) => `${row.map(cell).join(",")}\r\n`).join("");
}

function eweRows(session) {
  const head = ["farm", "scored_on", "group", "stage", "scorer", "ewe", "score", "teeth", "lame", "udder"];
  const marked = (entry, what) => (entry[what] ? "yes" : "");
  return [head, ...session.entries.map((entry) => [
    ...common(session), printedTag(entry.tag), entry.score,
    marked(entry, "teeth"), marked(entry, "lame"), marked(entry, "udder"),
  ])];
}

function tallyRows(session) {
  const counts = new Map();
  for (const { score } of session.entries) counts.set(score, (counts.get(score) ?? 0) + 1);
  const rising = [...counts].sort(([one], [other]) => one - other);
  return [["farm", "scored_on", "group", "stage", "scorer", "score", "count"],
    ...rising.map(([score, count]) => [...common(session), score, count])];
}

function common(session) {
  return [session.farm, session.scored_on, session.group, session.stage, session.scorer];
}

function cell(value) {
  const text = String(value);
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
