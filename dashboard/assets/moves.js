/* Moving between pages without a load: the way in use is marked, and focus goes to the new page's heading,
   as it would after a load, so that a keyboard or screen reader does not stay behind on a link that is gone. */
(function () {
  "use strict";

  const FLOCKS = "/";
  let shown = null;

  function mark() {
    const path = window.location.pathname;
    for (const way of document.querySelectorAll(".top nav a")) {
      const target = way.getAttribute("href");
      if (target === path) way.setAttribute("aria-current", "page");
      else if (target === FLOCKS && path.startsWith("/farm/")) way.setAttribute("aria-current", "true");
      else way.removeAttribute("aria-current");
    }
  }

  function arrived(heading) {
    const first = shown === null;
    shown = window.location.pathname;
    mark();
    if (first) return; // a page that was loaded: the browser has seen to it
    heading.setAttribute("tabindex", "-1");
    heading.focus({ preventScroll: true });
    if (!window.location.hash) window.scrollTo(0, 0);
  }

  const watcher = new MutationObserver(function (changes) {
    if (window.location.pathname === shown) return;
    const heading = document.querySelector("main h1");
    const drawn = changes.some(change => change.target.closest && change.target.closest("main"));
    if (heading && drawn) arrived(heading);
  });
  watcher.observe(document.documentElement, { childList: true, subtree: true });
})();
