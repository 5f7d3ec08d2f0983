"use strict";
// The page of one record: values are graded while they are typed and kept once they are meant.

import { Queue } from "./queue.js";
import { addBox, all, boxes, control, fieldAt, fieldOf, hush, nameOf, offerUnits, isTyped, room, saysOf, show, tell, textOf, toldAt, unitOf, update } from "./fields.js";
import { besidePanel } from "./beside.js";

const page = document.getElementById("record");
const RECORD = page.dataset.record;
const TAG = page.dataset.tag || null;
const SHUT = "shut" in page.dataset;
const STORE = `trochoid:${RECORD}:${TAG || ""}`;
const words = Object.fromEntries(all("#words dt").map((term) => [term.textContent, term.nextElementSibling.textContent]));
const template = (id) => document.getElementById(id);
const status = template("kept");
const aloud = template("aloud");
const undoButton = template("undo");
const PAUSE = 120;

// The gauge of the line before, by the unit it reads in.
const gaugeOf = new Map();
let last = null;

async function post(to, value, signal) {
  const answer = await fetch(to, {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-Trochoid": "1" },
    body: JSON.stringify(value),
    signal,
  });
  return { status: answer.status, body: await answer.json().catch(() => null) };
}

const sent = (wish, more = {}) => ({ record: RECORD, tag: TAG, wish, ...more });

// ---- what waits

function waits(number, trouble) {
  status.classList.toggle("waits", number > 0);
  if (number === 0) {
    status.textContent = words.all_kept;
  } else {
    const many = number === 1 ? words.not_kept_one : `${number} ${words.not_kept}`;
    status.textContent = trouble === null ? words.keeping : `${many}: ${trouble || words.no_answer}`;
  }
  const places = new Set(queue.entries.map((entry) => entry.place));
  for (const box of all(".value.waits")) if (!places.has(placeOf(box))) box.classList.remove("waits");
  for (const { wish } of queue.entries) {
    const box = wish.value ? boxAt(wish.value.key, wish.value.item) : null;
    if (box) box.classList.add("waits");
  }
}

const placeOf = (box) => `${fieldOf(box).dataset.key}#${box.dataset.item}`;

const queue = new Queue(
  STORE,
  (entry) => post("/keep", sent(entry.wish, { all_the_same: Boolean(entry.all_the_same) })),
  settled,
  waits,
);

function settled(entry, { status: code, body }) {
  const box = entry.wish.value ? boxAt(entry.wish.value.key, entry.wish.value.item) : null;
  if (code === 200) {
    if (box) {
      box.dataset.was = entry.wish.value.text;
      if (textOf(box) === entry.wish.value.text) hush(box);
    }
    apply(body);
    if (!entry.undo) remember(entry);
    speak(entry.wish);
    if (entry.wish.concession) concessionKept();
    return;
  }
  if (entry.wish.concession) {
    concessionRefused(body.why);
  } else if (entry.wish.head) {
    headRefused(entry.wish.head, body);
  } else if (box && body.reason === "changed") {
    both(box, entry, body);
  } else if (box && body.reason === "implausible") {
    restore();
    unlikely(box, entry, body);
  } else if (box) {
    tell(box, null, `${words.not_written} ${body.why}`);
    aloud.textContent = body.why;
  }
}

// Two values for one place: both are shown, one is chosen.
function both(box, entry, body) {
  const mine = entry.wish.value.text;
  const place = tell(box, template("both"), body.why);
  const [own, other] = [place.querySelector(".mine"), place.querySelector(".theirs")];
  own.textContent = `${words.mine} ${mine}`;
  other.textContent = `${words.theirs} ${body.theirs}`;
  own.addEventListener("click", () => keep(box, { was: body.theirs, text: mine }));
  other.addEventListener("click", () => {
    box.dataset.was = body.theirs;
    show(box, body.theirs);
    hush(box);
    control(box).focus();
  });
  aloud.textContent = body.why;
}

function unlikely(box, entry, body) {
  const place = tell(box, template("implausible"), body.why);
  const wish = entry.wish.value;
  place.querySelector(".again").addEventListener("click", () => {
    show(box, box.dataset.was || "");
    hush(box);
    control(box).focus();
  });
  place.querySelector(".confirm").addEventListener("click", () => {
    const who = place.querySelector(".who");
    if (!who.value.trim()) return who.focus();
    const says = (wish.says || saysOf(box)).filter(([name]) => name !== "confirmed").concat([["confirmed", who.value.trim()]]);
    return keep(box, { text: wish.text, says });
  });
  place.querySelector(".who").addEventListener("keydown", (event) => {
    if (event.key === "Enter") place.querySelector(".confirm").click();
  });
  place.querySelector(".all-the-same").addEventListener("click", () => keep(box, { text: wish.text, says: wish.says, allTheSame: true }));
  aloud.textContent = body.why;
}

// ---- what the file has now

const boxAt = (key, item) => {
  const field = fieldAt(key);
  return field ? field.querySelector(`:scope > .value[data-item="${item}"]`) : null;
};

function apply(body) {
  for (const id of ["head", "others", "together", "concessions"]) {
    const place = template(id);
    if (place && typeof body[id] === "string") place.innerHTML = body[id];
  }
  verdicts(body.verdicts);
  for (const [key, items] of Object.entries(body.fields || {})) {
    const field = fieldAt(key);
    if (field) update(field, items);
  }
  for (const [key, text] of Object.entries(body.heads || {})) {
    const input = document.getElementById(`head-${key}`);
    if (input && (input.value === input.dataset.was || input.value === text)) input.value = text;
    if (input) input.dataset.was = text;
  }
  if (!template("still").hidden) stillOpen();
}

// What a page showed before somebody typed: it is shown again if they leave it at that.
const keptMarkup = new Map();
function preview(changed) {
  restore();
  for (const [key, markup] of Object.entries(changed || {})) {
    const place = toldAt(key);
    if (!place) continue;
    keptMarkup.set(place, place.innerHTML);
    place.innerHTML = markup;
  }
}
function restore() {
  for (const [place, markup] of keptMarkup) place.innerHTML = markup;
  keptMarkup.clear();
}

function verdicts(changed) {
  restore();
  for (const [key, markup] of Object.entries(changed || {})) {
    const place = toldAt(key);
    if (place && place.innerHTML !== markup) place.innerHTML = markup;
  }
}

// The grade once, politely.
function speak(wish) {
  if (!wish.value) return;
  const place = toldAt(wish.value.key);
  if (!place) return;
  const field = fieldAt(wish.value.key);
  const rulings = all(".ruling", place).map((one) => {
    const message = one.querySelector(".message");
    return message ? message.textContent : one.querySelector(".word").textContent;
  });
  aloud.textContent = `${nameOf(field)}: ${rulings.join("; ") || words.kept}`;
}

// ---- typing

function keep(box, { was = box.dataset.was || "", text = textOf(box), says, allTheSame, undo } = {}) {
  if (SHUT) return;
  const field = fieldOf(box);
  const [key, item] = [field.dataset.key, Number(box.dataset.item)];
  const value = { key, item, was, text };
  const gauge = gaugeOf.get(unitOf(field));
  if (says !== undefined && says !== null) value.says = says;
  else if (!was && text && text !== "unknown" && gauge && field.dataset.entry === "number") value.says = [["gauge", gauge]];
  queue.add({ place: placeOf(box), wish: { value }, all_the_same: allTheSame, undo, before: { text: was, says: saysOf(box) } });
}

function leave(box) {
  clearTimeout(box.timer);
  // What is kept is answered for itself: a first word on it that comes late must not hide what was objected.
  if (asking) asking.abort();
  if (isTyped(box)) return keep(box);
  hush(box);
  return restore();
}

let asking = null;
function grade(box) {
  clearTimeout(box.timer);
  box.timer = setTimeout(async () => {
    if (!isTyped(box)) {
      restore();
      return hush(box);
    }
    if (asking) asking.abort();
    asking = new AbortController();
    const text = textOf(box);
    const wish = { value: { key: fieldOf(box).dataset.key, item: Number(box.dataset.item), was: box.dataset.was || "", text } };
    try {
      const answer = await post("/grade", sent(wish), asking.signal);
      if (textOf(box) !== text || !isTyped(box) || !answer.body) return undefined;
      preview(answer.body.verdicts);
      if (answer.status === 200 || answer.body.reason === "changed") hush(box);
      else tell(box, null, answer.body.why);
    } catch {
      // Nobody answers: it is graded once it is kept.
    }
    return undefined;
  }, PAUSE);
}

function next(box) {
  const list = boxes();
  const following = list[list.indexOf(box) + 1];
  if (!following) return template("undo").focus();
  const input = control(following);
  last = following;
  input.focus();
  if (input.select) input.select();
  return undefined;
}

const boxOf = (event) => event.target.closest(".field[data-key] > .value");

page.addEventListener("input", (event) => {
  const box = boxOf(event);
  if (!box || event.target.closest(".objection")) return;
  last = box;
  grade(box);
});
// The value that "More" is about: the one that was touched or typed in, not one that Tab only passed.
page.addEventListener("pointerdown", (event) => {
  last = boxOf(event) || last;
});
page.addEventListener("focusin", (event) => {
  const box = boxOf(event);
  if (!box) return;
  offerUnits(fieldOf(box));
  // What is typed next, by hand or by a gauge, takes the place of what stands there.
  if (event.target.matches("input[type=text]") && !event.target.closest(".objection") && !isTyped(box)) event.target.select();
  const says = box.querySelector(".says");
  const gauge = gaugeOf.get(unitOf(fieldOf(box)));
  if (!box.dataset.was && gauge && fieldOf(box).dataset.entry === "number") says.textContent = `by ${gauge}`;
});
page.addEventListener("focusout", (event) => {
  const box = boxOf(event);
  if (!box || box.contains(event.relatedTarget) || event.target.closest(".objection")) return;
  if (!box.dataset.was) box.querySelector(".says").textContent = "";
  leave(box);
});
page.addEventListener("change", (event) => {
  if (event.target.closest(".units")) {
    for (const box of all(":scope > .value", event.target.closest(".field"))) if (isTyped(box)) grade(box);
    return;
  }
  const head = event.target.closest(".field.about");
  if (head) headKeep(head);
});
page.addEventListener("keydown", (event) => {
  const box = boxOf(event);
  if (!box || event.target.closest(".objection")) return;
  if (event.key === "Enter") {
    event.preventDefault();
    leave(box);
    next(box);
    return;
  }
  // A choice by its first letter, as in a list.
  if (event.target.type === "radio" && event.key.length === 1 && !event.ctrlKey && !event.metaKey && !event.altKey) {
    const fits = all("input[type=radio]", box).filter((one) => one.value.toLowerCase().startsWith(event.key.toLowerCase()));
    if (fits.length) {
      const chosen = fits[(fits.findIndex((one) => one.checked) + 1) % fits.length];
      chosen.checked = true;
      chosen.focus();
      grade(box);
      event.preventDefault();
    }
  }
});
page.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) {
    // A choice by the finger is meant at once.
    const box = boxOf(event);
    if (box && event.target.type === "radio" && event.detail > 0) leave(box);
    return;
  }
  if (button.classList.contains("one-more")) {
    const box = addBox(button.closest(".field"));
    last = box;
    control(box).focus();
    const most = Number(button.closest(".line").dataset.most);
    if (most && all(":scope > .value", button.closest(".field")).length >= most) button.hidden = true;
  } else if (button.classList.contains("more")) {
    besidePanel(button, { last, keep, gaugeOf, record: RECORD, tag: TAG, tell, shut: SHUT, noPhoto: words.no_photo });
  } else if (button.classList.contains("let-through")) {
    const form = document.querySelector("#concede form");
    template("concede").open = true;
    form.elements.row.value = button.dataset.row;
    form.elements.because.focus();
  }
});

// ---- what the record says about itself

function headKeep(field) {
  const input = field.querySelector("input");
  if (SHUT || input.value.trim() === input.dataset.was) return;
  const head = { key: field.dataset.head, was: input.dataset.was, text: input.value.trim() };
  queue.add({ place: `head:${head.key}`, wish: { head }, before: { text: head.was } });
}

function headRefused(head, body) {
  const field = all(".field.about").find((one) => one.dataset.head === head.key);
  const place = field.querySelector(".objection");
  place.textContent = `${words.not_written} ${body.why}`;
  place.hidden = false;
  if (body.reason === "changed") field.querySelector("input").dataset.was = body.theirs;
}

// ---- letting a row through

const concede = document.querySelector("#concede form");
if (concede) {
  concede.addEventListener("submit", (event) => {
    event.preventDefault();
    if (SHUT) return;
    const value = (name) => concede.elements[name].value.trim();
    const concession = { row: value("row"), because: value("because"), by: value("by"), until: value("until") };
    queue.add({ place: `concession:${Date.now()}`, wish: { concession } });
  });
}
function concessionKept() {
  concede.reset();
  concede.querySelector(".objection").hidden = true;
}
function concessionRefused(why) {
  const place = concede.querySelector(".objection");
  place.textContent = `${words.not_written} ${why}`;
  place.hidden = false;
}

// ---- taking back

const UNDONE = `${STORE}:undo`;
let done = [];
try {
  done = JSON.parse(sessionStorage.getItem(UNDONE) || "[]");
} catch {
  done = [];
}
function stored() {
  undoButton.disabled = done.length === 0 || SHUT;
  try {
    sessionStorage.setItem(UNDONE, JSON.stringify(done));
  } catch {
    // Undo then reaches as far as this page.
  }
}
function remember(entry) {
  if (!entry.wish.value || !entry.before) return;
  const { key, item, text } = entry.wish.value;
  done.push({ key, item, text: entry.before.text, says: entry.before.says, was: text });
  stored();
}
function undo() {
  const one = done.pop();
  stored();
  if (!one) return;
  const field = fieldAt(one.key);
  if (!field) return;
  room(field, one.item + 1);
  const box = boxAt(one.key, one.item);
  show(box, one.text);
  keep(box, { was: one.was, text: one.text, says: one.text ? one.says : null, undo: true, allTheSame: true });
  control(box).focus();
  aloud.textContent = words.undone;
}
undoButton.addEventListener("click", undo);
document.addEventListener("keydown", (event) => {
  const typing = event.target.matches("input[type=text]") && event.target.closest(".value") && isTyped(event.target.closest(".value"));
  if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "z" && !event.shiftKey && !typing) {
    event.preventDefault();
    undo();
  }
});

// ---- what is still to be taken, from here on

function stillOpen() {
  const list = template("still").querySelector("ol");
  const fields = all(".line:not(.optional) .field[data-key]").filter((field) => all(":scope > .value", field).every((box) => !box.dataset.was));
  const order = all(".field[data-key]");
  const here = last ? order.indexOf(fieldOf(last)) : -1;
  const after = fields.filter((field) => order.indexOf(field) >= here);
  const sorted = after.concat(fields.filter((field) => order.indexOf(field) < here));
  list.replaceChildren(
    ...sorted.map((field) => {
      const item = document.createElement("li");
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = nameOf(field);
      button.addEventListener("click", () => {
        template("still").hidden = true;
        template("open").setAttribute("aria-expanded", "false");
        const fold = field.closest("details.folded");
        if (fold) fold.open = true;
        control(field.querySelector(".value")).focus();
      });
      item.append(button);
      return item;
    }),
  );
  if (!sorted.length) list.textContent = words.nothing_open;
}
template("open").addEventListener("click", () => {
  const still = template("still");
  still.hidden = !still.hidden;
  template("open").setAttribute("aria-expanded", String(!still.hidden));
  if (!still.hidden) {
    stillOpen();
    const first = still.querySelector("button");
    if (first) first.focus();
  }
});

// ---- what waits from before, what others change, when the connection is back

for (const entry of queue.entries) {
  if (!entry.wish.value) continue;
  const field = fieldAt(entry.wish.value.key);
  if (!field) continue;
  room(field, entry.wish.value.item + 1);
  show(boxAt(entry.wish.value.key, entry.wish.value.item), entry.wish.value.text);
}
if (SHUT) for (const input of all("#record input, #record select, #record button:not(#open)")) input.disabled = true;
stored();
queue.store();
queue.flush();
window.addEventListener("online", () => queue.flush());
window.addEventListener("beforeunload", (event) => {
  const focused = document.activeElement && document.activeElement.closest(".field[data-key] > .value");
  if (focused && isTyped(focused)) leave(focused);
  if (queue.entries.length) event.preventDefault();
});
// After a pause the stream is asked for anew: with the version this page began with, so that what changed meanwhile is told whole.
const query = new URLSearchParams({ record: RECORD, version: page.dataset.version });
if (TAG) query.set("tag", TAG);
const events = new EventSource(`/events?${query}`);
events.addEventListener("open", () => queue.flush());
events.addEventListener("message", (event) => {
  const body = JSON.parse(event.data);
  if (body.verdicts) apply(body);
});
page.dataset.ready = "yes";
