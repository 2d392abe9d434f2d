/* Draws the HTML of a page, which dashboard/components/plain.py sends as one tree. */
(function () {
  "use strict";

  function made(node, kept) {
    if (typeof node === "string") return node;
    if (typeof node === "number") return kept[node];
    const [tag, attributes, ...inside] = node;
    return window.React.createElement(tag, attributes, ...inside.map((each) => made(each, kept)));
  }

  function Plain({ tree, children }) {
    const kept = [].concat(children);
    return window.React.createElement(window.React.Fragment, null, ...tree.map((each) => made(each, kept)));
  }

  window.tupping = { Plain: Plain };
})();
