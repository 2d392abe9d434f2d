/* Files brought to the practice: dropped or chosen, sent with the page's token, and what the answer says. */
(function () {
  "use strict";

  const LARGEST = 8_000_000;
  const TOO_LARGE = "This file has more than 8 MB. Import it on the practice’s machine: tupping import FILE.";
  const LOST = "The practice’s machine does not answer. Nothing was done; try again.";

  function token() {
    const found = document.cookie.split("; ").find((part) => part.startsWith("_csrf_token="));
    return found ? decodeURIComponent(found.slice("_csrf_token=".length)) : "";
  }

  // Beside `near`; on the page as it stands now, if that was drawn anew meanwhile.
  function say(near, selector, sentence) {
    const around = near.isConnected ? near.closest("section, main") : document.querySelector("main");
    const place = (around || document).querySelector(selector);
    if (!place) return;
    place.textContent = sentence;
    place.hidden = sentence === "";
    place.toggleAttribute("data-told", sentence !== "");
    if (sentence) place.scrollIntoView({ block: "nearest" });
  }

  // Sends and returns the answer's JSON, or says what went wrong beside `near` and returns null.
  async function send(near, address, body) {
    // What is seen is about to be another page (another group was chosen): not what would be sent.
    if (near.ariaBusy === "true" || near.closest("[data-dash-is-loading]")) return null;
    near.ariaBusy = "true";
    near.disabled = true;
    say(near, ".trouble", "");
    try {
      const headers = { "X-CSRFToken": token(), Accept: "application/json" };
      const answer = await fetch(address, { method: "POST", headers, body });
      const told = await answer.json().catch(() => ({}));
      if (answer.ok) return told;
      say(near, ".trouble", told.error || LOST);
    } catch {
      say(near, ".trouble", LOST);
    } finally {
      near.ariaBusy = "false";
      near.disabled = false;
    }
    return null;
  }

  async function bring(place, files) {
    if (files.length !== 1) {
      say(place, ".trouble", files.length ? "One file at a time, please. For a folder: tupping import FOLDER." : "");
      return;
    }
    if (files[0].size > LARGEST) return say(place, ".trouble", TOO_LARGE);
    const body = new FormData();
    body.append("file", files[0]);
    const told = await send(place, place.dataset.drop, body);
    if (told) window.location.assign(told.at + place.dataset.search);
  }

  // Saves a file that came with an answer.
  function keep(file) {
    const link = document.createElement("a");
    const content = Uint8Array.from(atob(file.content), (character) => character.charCodeAt(0));
    link.href = URL.createObjectURL(new Blob([content], { type: "application/zip" }));
    link.download = file.name;
    link.click();
    URL.revokeObjectURL(link.href);
  }

  function choose(button) {
    const box = document.createElement("input");
    box.type = "file";
    box.accept = button.dataset.choose;
    box.addEventListener("change", () => bring(button.closest("[data-drop]"), box.files));
    box.click();
  }

  async function confirm(button) {
    const body = new FormData();
    for (const [name, value] of Object.entries(button.dataset)) {
      if (name.startsWith("with")) body.append(name.slice(4).toLowerCase(), value);
    }
    const told = await send(button, button.dataset.send + window.location.search, body);
    if (told) window.location.assign(told.at);
  }

  document.addEventListener("click", (event) => {
    const chooser = event.target.closest("[data-choose]");
    const sender = event.target.closest("[data-send]");
    if (chooser) choose(chooser);
    else if (sender) confirm(sender);
  });

  document.addEventListener("submit", async (event) => {
    const form = event.target.closest("form[data-send-form]");
    if (!form) return;
    event.preventDefault();
    say(form, ".mind[role=status]", "");
    const told = await send(form, form.dataset.sendForm, new FormData(form));
    if (!told) return;
    if (told.keep) keep(told.keep);
    say(form, ".mind[role=status]", told.said);
  });

  // A file let go of beside the place would make the browser leave the page; so the whole page takes it.
  function placeFor(event) {
    const carries = [...(event.dataTransfer?.types || [])].includes("Files");
    return carries ? event.target.closest?.("[data-drop]") || document.querySelector("[data-drop]") : null;
  }

  document.addEventListener("dragover", (event) => {
    const place = placeFor(event);
    if (!place) return;
    event.preventDefault();
    place.classList.add("over");
  });
  document.addEventListener("dragleave", (event) => {
    if (event.relatedTarget === null) document.querySelector("[data-drop]")?.classList.remove("over");
  });
  document.addEventListener("drop", (event) => {
    const place = placeFor(event);
    if (!place) return;
    event.preventDefault();
    place.classList.remove("over");
    bring(place, event.dataTransfer.files);
  });
})();
