/* Filters: a change in the form becomes the page's link, so that the link reopens the same view. */
(function () {
  "use strict";

  function show(form) {
    const query = new URLSearchParams();
    for (const [name, value] of new FormData(form)) {
      if (value.trim() !== "") query.set(name, value.trim());
    }
    const search = query.toString() ? "?" + query.toString() : "";
    if (search === window.location.search) return;
    window.history.pushState({}, "", form.getAttribute("action") + search);
    // dash's own Location listens to this event, and dcc.Link sends it too.
    window.dispatchEvent(new CustomEvent("_dashprivate_pushstate"));
  }

  // The answer draws a changed list anew, and a keyboard would be thrown back to the top of the page: whoever
  // was on it is put back there.
  let left = null;

  document.addEventListener("change", function (event) {
    const form = event.target.closest("form[data-filters]");
    if (!form) return;
    left = event.target === document.activeElement ? event.target.name : null;
    show(form);
  });

  document.addEventListener("focusin", function (event) {
    if (event.target.name !== left) left = null;
  });

  new MutationObserver(function () {
    if (left === null || document.activeElement !== document.body) return;
    const again = document.querySelector(`form[data-filters] [name="${CSS.escape(left)}"]`);
    if (!again) return;
    const fold = again.closest("details");
    if (fold) fold.open = true; // nothing in a closed one takes the focus
    again.focus({ preventScroll: true });
  }).observe(document.documentElement, { childList: true, subtree: true });

  document.addEventListener("submit", function (event) {
    const form = event.target.closest("form[data-filters]");
    if (!form) return;
    event.preventDefault();
    show(form);
  });
})();
