"use strict";
// The inputs of the page: what is typed in each, and how it is shown. Knows nothing of the server.

const ONLY_FIGURES = /^[-+]?[\d.,/' \u00a0\u202f-]+$/;

export const all = (selector, within = document) => Array.from(within.querySelectorAll(selector));
// Those that can be reached: not the ones that are folded away.
export const boxes = () => all(".field[data-key] > .value").filter((box) => !box.closest("details.folded:not([open])"));
export const fieldOf = (box) => box.closest(".field");
// Where the verdicts on a reading stand; a page has hundreds, and each has its name.
export function toldAt(key) {
  const place = document.getElementById(`at-${key}`);
  return place && place.dataset.told === key ? place : null;
}
export function fieldAt(key) {
  const place = toldAt(key);
  const field = place && place.parentElement;
  return field && field.dataset.key === key ? field : undefined;
}

// A field in words, as its inputs are called.
export function nameOf(field) {
  const named = field.querySelector(".value [aria-label]");
  return named ? named.getAttribute("aria-label").replace(/, value \d+$/, "") : field.dataset.key;
}

// The control that takes the value.
export function control(box) {
  return box.querySelector("input[type=radio]:checked") || box.querySelector("input, select");
}

export function unitOf(field) {
  const chosen = field.querySelector(".units input:checked");
  if (chosen) return chosen.value;
  const only = field.querySelector(".units[data-unit]");
  return only ? only.dataset.unit : "";
}

// The units of a field as buttons, while it is typed in.
export function offerUnits(field) {
  const place = field.querySelector("span.units[data-units]");
  if (!place) return;
  const units = document.createElement("div");
  units.className = "units";
  units.setAttribute("role", "radiogroup");
  units.setAttribute("aria-label", "unit");
  for (const unit of JSON.parse(place.dataset.units)) {
    const label = document.createElement("label");
    const input = document.createElement("input");
    const span = document.createElement("span");
    input.type = "radio";
    input.name = `unit:${field.dataset.key}`;
    input.value = unit;
    input.checked = unit === place.dataset.unit;
    span.textContent = unit;
    label.append(input, span);
    units.append(label);
  }
  place.replaceWith(units);
}

// What is typed, with the unit that is lit where none was typed.
export function textOf(box) {
  const radios = all("input[type=radio]", box);
  if (radios.length) return (radios.find((radio) => radio.checked) || { value: "" }).value;
  const typed = control(box).value.trim();
  const field = fieldOf(box);
  if (field.dataset.entry !== "number" || !ONLY_FIGURES.test(typed)) return typed;
  const unit = unitOf(field);
  return unit ? `${typed} ${unit}` : typed;
}

// Whether something else is typed than what the file had.
export function isTyped(box) {
  const was = box.dataset.was || "";
  const text = textOf(box);
  const input = control(box);
  const chosen = input.type === "radio" || input.tagName === "SELECT";
  // What the file has may be none of the choices: as long as none is taken, it stays.
  if (chosen && text === "" && !offers(box, was)) return false;
  return chosen ? text.toLowerCase() !== was.toLowerCase() : text !== was;
}

const offers = (box, text) => all("input[type=radio], option", box).some((one) => one.value.toLowerCase() === text.toLowerCase());

export function show(box, text) {
  const radios = all("input[type=radio]", box);
  if (radios.length) {
    for (const radio of radios) radio.checked = radio.value.toLowerCase() === text.toLowerCase();
    return;
  }
  const input = control(box);
  if (input.tagName === "SELECT") {
    const option = Array.from(input.options).find((one) => one.value.toLowerCase() === text.toLowerCase());
    input.value = option ? option.value : "";
  } else {
    input.value = text;
  }
}

export const saysOf = (box) => (box.dataset.says ? JSON.parse(box.dataset.says) : []);

// A box more at the end of a field.
export function addBox(field) {
  const list = all(":scope > .value", field);
  const last = list[list.length - 1];
  const box = last.cloneNode(true);
  const item = list.length;
  box.dataset.item = String(item);
  box.dataset.was = "";
  delete box.dataset.says;
  delete box.dataset.typed;
  box.querySelector(".says").textContent = "";
  hush(box);
  for (const input of all("input[type=radio]", box)) {
    input.checked = false;
    input.name = `${field.dataset.key}#${item}`;
  }
  for (const named of all("[aria-label]", box)) {
    named.setAttribute("aria-label", named.getAttribute("aria-label").replace(/\d+$/, String(item + 1)));
  }
  const input = box.querySelector("input:not([type=radio]), select");
  if (input) input.value = "";
  last.after(box);
  return box;
}

export function room(field, least) {
  while (all(":scope > .value", field).length < least) addBox(field);
}

// What the file has now; what somebody is typing stays.
export function update(field, items) {
  room(field, items.length);
  const line = field.closest(".line");
  const least = Math.max(items.length, Number(line.dataset.least) || 1);
  all(":scope > .value", field).forEach((box, number) => {
    const item = items[number];
    const text = item ? item.text : "";
    const typed = isTyped(box) && textOf(box) !== text;
    if (!typed) {
      box.dataset.was = text;
      show(box, text);
      if (number >= least && document.activeElement !== control(box)) {
        box.remove();
        return;
      }
    }
    if (item && item.says.length) box.dataset.says = JSON.stringify(item.says);
    else delete box.dataset.says;
    box.querySelector(".says").innerHTML = item ? item.shown : "";
  });
}

// What is wrong with what is typed, beside it.
export function tell(box, template, why) {
  const place = box.querySelector(".objection");
  place.replaceChildren(template ? template.content.cloneNode(true) : document.createElement("p"));
  const line = place.querySelector(".why") || place.firstElementChild;
  line.textContent = why;
  place.hidden = false;
  box.classList.add("held-back");
  for (const input of all("input, select", box)) input.setAttribute("aria-invalid", "true");
  return place;
}

export function hush(box) {
  const place = box.querySelector(".objection");
  place.hidden = true;
  place.replaceChildren();
  box.classList.remove("held-back");
  for (const input of all("input, select", box)) input.removeAttribute("aria-invalid");
}
