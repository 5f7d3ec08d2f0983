"use strict";
// What is written beside a value: gauge, temperature, note, a photograph; and that it cannot be read.

import { all, control, fieldOf, saysOf, show, unitOf } from "./fields.js";

const NAMES = ["gauge", "at", "gauge_at", "uncertainty", "k", "coverage", "degrees_of_freedom", "confirmed", "note"];

// Opens, or shuts, the panel of a field for the value that was last looked at in it.
export function besidePanel(button, { last, keep, gaugeOf, record, tag, tell, shut, noPhoto }) {
  const field = button.closest(".field");
  const open = field.querySelector(".beside-value");
  button.setAttribute("aria-expanded", String(!open));
  if (open) {
    open.remove();
    return;
  }
  const box = last && fieldOf(last) === field && field.contains(last) ? last : field.querySelector(":scope > .value");
  const panel = document.getElementById("more").content.cloneNode(true).firstElementChild;
  const says = saysOf(box);
  const gauge = gaugeOf.get(unitOf(field));
  for (const input of all("[data-says]", panel)) {
    const known = says.find(([name]) => name === input.dataset.says);
    input.value = known ? known[1] : "";
    if (!known && input.dataset.says === "gauge" && gauge && !box.dataset.was) input.value = gauge;
    input.disabled = shut;
  }
  if (field.dataset.entry !== "number") {
    for (const input of all("[data-says]", panel)) if (!["note", "confirmed"].includes(input.dataset.says)) input.closest("label").remove();
  }
  const write = (more = []) => {
    const kept = says.filter(([name]) => !NAMES.includes(name) && !more.some(([other]) => other === name));
    const said = all("[data-says]", panel).map((input) => [input.dataset.says, input.value.trim()]).filter(([, text]) => text);
    const chosen = panel.querySelector("[data-says=gauge]");
    if (chosen) gaugeOf.set(unitOf(field), chosen.value);
    keep(box, { says: said.concat(kept, more) });
    close();
  };
  const close = () => {
    panel.remove();
    button.setAttribute("aria-expanded", "false");
    control(box).focus();
  };
  panel.querySelector(".write").addEventListener("click", () => write());
  panel.querySelector(".unknown").addEventListener("click", () => {
    show(box, "unknown");
    write();
  });
  panel.querySelector(".away").addEventListener("click", () => {
    show(box, "");
    keep(box, { text: "" });
    close();
  });
  panel.addEventListener("keydown", (event) => {
    if (event.key === "Escape") close();
    if (event.key === "Enter" && event.target.matches("input[type=text], select")) {
      event.preventDefault();
      write();
    }
  });
  panel.querySelector("input[type=file]").addEventListener("change", async (event) => {
    const [file] = event.target.files;
    if (!file) return;
    const query = new URLSearchParams({ record, key: field.dataset.key });
    if (tag) query.set("tag", tag);
    try {
      const answer = await fetch(`/photo?${query}`, { method: "POST", headers: { "X-Trochoid": "1", "Content-Type": "application/octet-stream" }, body: file });
      const body = await answer.json();
      if (answer.ok) write([["photo", body.photo]]);
      else tell(box, null, body.why);
    } catch {
      tell(box, null, noPhoto);
    }
  });
  button.closest(".beside").after(panel);
  const first = panel.querySelector("select, input");
  if (first) first.focus();
}
