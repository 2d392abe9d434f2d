/* An open page follows what is published: when that changes, the page is drawn anew where it stands.
   Whoever is in the middle of something (typing, sending, reading what was done) is told instead. */
(function () {
  "use strict";

  const OFTEN = 500;
  const SELDOM = 10_000;
  // Asking for a page keeps a session alive; a desk left alone must not stay signed in by itself.
  const UNATTENDED = 30 * 60_000;
  const TOLD = 15_000;
  const REDRAWN = 20_000;
  const LAID_OUT = 3_000;
  const WAITING = "New figures have come in.";

  let shown = null;
  let waiting = false;
  let touched = Date.now();
  let typedIn = null;
  let hiding = 0;

  function say(sentence, button) {
    const news = document.querySelector("#news");
    if (!news) return;
    news.querySelector("span").textContent = sentence;
    news.querySelector("button").hidden = !button;
    news.hidden = sentence === "";
    window.clearTimeout(hiding);
    if (sentence && !button) hiding = window.setTimeout(() => say("", false), TOLD);
  }

  // How to find again what the keyboard is on, once the page is drawn anew; null when that cannot be known.
  function held() {
    const active = document.activeElement;
    if (!active || !active.closest("main") || active.matches("main, main h1")) return () => null;
    if (active.matches("select, [type=checkbox]") && active.closest("form[data-filters]")) {
      return () => document.querySelector(`form[data-filters] [name="${CSS.escape(active.name)}"]`);
    }
    if (active.matches("a[href]")) {
      const address = active.getAttribute("href");
      return () => document.querySelector(`main a[href="${CSS.escape(address)}"]`);
    }
    return null;
  }

  function occupied() {
    const busy = document.querySelector('main [aria-busy="true"], main [data-told], [data-dash-is-loading]');
    const away = Date.now() - touched > UNATTENDED;
    return Boolean(busy) || Boolean(typedIn && typedIn.isConnected) || away || held() === null;
  }

  // Resolves when another heading stands where this one stood.
  function replaced(heading) {
    return new Promise((resolve) => {
      const watcher = new MutationObserver(() => {
        const now = document.querySelector("main h1");
        if (now && now !== heading) done();
      });
      const late = window.setTimeout(done, REDRAWN);
      function done() {
        watcher.disconnect();
        window.clearTimeout(late);
        resolve();
      }
      watcher.observe(document.documentElement, { childList: true, subtree: true });
    });
  }

  // Back to where the reader stood, as soon as the page is that long again, unless they have gone on.
  function stand(height) {
    const began = Date.now();
    (function scroll() {
      window.scrollTo(0, height);
      const there = Math.abs(window.scrollY - height) <= 1;
      if (!there && touched < began && Date.now() < began + LAID_OUT) window.requestAnimationFrame(scroll);
    })();
  }

  async function draw() {
    const heading = document.querySelector("main h1");
    const where = window.location.href;
    const find = held() || (() => null);
    const open = [...document.querySelectorAll("main details")].map((each) => each.open);
    const height = window.scrollY;
    waiting = false;
    say("", false);
    window.dash_clientside.set_props("_pages_location", { search: window.location.search });
    await replaced(heading);
    if (where !== window.location.href) return;
    const folded = [...document.querySelectorAll("main details")];
    if (folded.length === open.length) folded.forEach((each, at) => (each.open = open[at]));
    stand(height);
    const again = find();
    if (again) again.focus({ preventScroll: true });
    const time = new Date().toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
    say(`Brought up to date at ${time}.`, false);
  }

  async function look() {
    const answer = await fetch("/health", { cache: "no-store" });
    if (!answer.ok) return SELDOM;
    const { generation, as_of } = await answer.json();
    const state = `${generation} of ${as_of}`;
    if (shown !== null && state !== shown) waiting = true;
    shown = state;
    if (waiting && !occupied()) await draw();
    else if (waiting) say(WAITING, true);
    return OFTEN;
  }

  async function follow() {
    let pause = OFTEN;
    if (!document.hidden) pause = await look().catch(() => SELDOM);
    window.setTimeout(follow, pause);
  }

  for (const kind of ["pointerdown", "keydown", "touchstart", "wheel"]) {
    document.addEventListener(kind, () => (touched = Date.now()), { passive: true });
  }
  document.addEventListener("input", (event) => {
    typedIn = event.target.closest("main form:not([data-filters])") || typedIn;
  });
  document.addEventListener("click", (event) => {
    if (event.target.closest("#news button")) draw();
  });
  follow();
})();
