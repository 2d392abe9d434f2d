/* "Save as picture": the figure with its title and meaning written in, light whatever the screen's mode. */
(function () {
  "use strict";

  const WIDTH = 1000;
  const CHARACTERS = 110;

  function wrapped(text) {
    const lines = [""];
    for (const word of text.split(" ")) {
      const last = lines.length - 1;
      if ((lines[last] + " " + word).length > CHARACTERS) lines.push(word);
      else lines[last] = (lines[last] + " " + word).trim();
    }
    return lines;
  }

  function save(holder) {
    const graph = holder.querySelector(".js-plotly-plot");
    if (!graph) return; // not drawn yet
    const meta = graph.layout.meta;
    const lines = wrapped(meta.meaning);
    const layout = structuredClone(graph.layout);
    const room = 56 + lines.length * 18;
    layout.title = {
      text: "<b>" + meta.title + "</b>",
      subtitle: { text: lines.join("<br>"), font: { size: 13 } },
      x: 0.02, xanchor: "left", y: 1, yanchor: "top", yref: "container", pad: { t: 18 },
    };
    layout.margin = Object.assign({}, layout.margin, { t: ((layout.margin || {}).t || 0) + room });
    layout.height = (layout.height || 450) + room;
    layout.width = WIDTH;
    layout.autosize = false;
    window.Plotly.downloadImage(
      { data: graph.data, layout: layout },
      { format: "png", width: WIDTH, height: layout.height, scale: 2, filename: holder.id }
    );
  }

  document.addEventListener("click", function (event) {
    const button = event.target.closest("[data-save-picture]");
    if (button) save(button.closest("figure"));
  });
})();
