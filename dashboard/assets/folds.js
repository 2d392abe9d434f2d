/* Parts that are folded on a phone stand open at a desk, where there is room. Each is met once: what somebody
   has closed or opened stays so while the page is drawn anew. */
(function () {
  "use strict";

  const wide = window.matchMedia("(min-width: 40.01rem)");

  function meet() {
    for (const fold of document.querySelectorAll("details[data-open-wide]:not([data-met])")) {
      fold.setAttribute("data-met", "yes");
      if (wide.matches) fold.open = true;
    }
  }

  new MutationObserver(meet).observe(document.documentElement, { childList: true, subtree: true });
})();
