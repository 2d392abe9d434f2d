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

  document.addEventListener("change", function (event) {
    const form = event.target.closest("form[data-filters]");
    if (form) show(form);
  });

  document.addEventListener("submit", function (event) {
    const form = event.target.closest("form[data-filters]");
    if (!form) return;
    event.preventDefault();
    show(form);
  });
})();
