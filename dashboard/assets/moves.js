/* Moving between pages without a load: the way in use is marked, and focus goes to the new page's heading,
   as it would after a load, so that a keyboard or screen reader does not stay behind on a link that is gone. */
(function () {
  "use strict";

  // pages that are reached from one of those at the top
  const UNDER = { "/": ["/farm/", "/visit/"], "/compare": ["/scorers", "/group"], "/files": ["/offer/", "/change/"] };
  let shown = null;
  let seen = { heading: null, text: "" };

  function mark() {
    const path = window.location.pathname;
    for (const way of document.querySelectorAll(".top nav a")) {
      const target = way.getAttribute("href");
      if (target === path) way.setAttribute("aria-current", "page");
      else if ((UNDER[target] || []).some((start) => path.startsWith(start))) way.setAttribute("aria-current", "true");
      else way.removeAttribute("aria-current");
    }
  }

  function note(heading) {
    seen = { heading: heading, text: heading.textContent };
  }

  function arrived(heading) {
    const first = shown === null;
    shown = window.location.pathname;
    note(heading);
    mark();
    if (first) return; // a page that was loaded: the browser has seen to it
    heading.setAttribute("tabindex", "-1");
    heading.focus({ preventScroll: true });
    if (!window.location.hash) window.scrollTo(0, 0);
  }

  // The address changes before the new page is there, and the old one may still move (a picture being laid
  // out): only a heading other than the one last seen says that the new page has come.
  const watcher = new MutationObserver(function () {
    const heading = document.querySelector("main h1");
    if (!heading) return;
    if (window.location.pathname === shown) note(heading);
    else if (heading !== seen.heading || heading.textContent !== seen.text) arrived(heading);
  });
  watcher.observe(document.documentElement, { childList: true, characterData: true, subtree: true });
})();
