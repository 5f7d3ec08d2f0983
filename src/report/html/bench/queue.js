"use strict";
// Values on their way to the shop's machine: one after another, kept on this device until the file has them.

export class Queue {
  // `send(entry)` gives the status and what was answered, or throws where nobody answers; `settled` is told of each answer that
  // ends an entry's way; `changed` whenever the number that waits changes.
  constructor(name, send, settled, changed) {
    this.name = name;
    this.send = send;
    this.settled = settled;
    this.changed = changed;
    this.busy = false;
    this.trouble = null;
    this.timer = 0;
    try {
      this.entries = JSON.parse(localStorage.getItem(name) || "[]");
    } catch {
      this.entries = [];
    }
  }

  store() {
    try {
      if (this.entries.length) localStorage.setItem(this.name, JSON.stringify(this.entries));
      else localStorage.removeItem(this.name);
    } catch {
      // A browser that stores nothing still has them on the page.
    }
    this.changed(this.entries.length, this.trouble);
  }

  // The entry that waits for a place, but not one under way.
  waiting(place) {
    return this.entries.find((entry, number) => entry.place === place && !(this.busy && number === 0));
  }

  add(entry) {
    const before = this.waiting(entry.place);
    const under_way = this.busy && this.entries[0] && this.entries[0].place === entry.place ? this.entries[0] : null;
    const last = before || under_way;
    // Enter sends a value, and leaving the box sends it once more.
    if (last && !entry.all_the_same && JSON.stringify({ ...last.wish.value, was: "" }) === JSON.stringify({ ...entry.wish.value, was: "" }) && entry.wish.value) return undefined;
    // What is under way stands there by then.
    if (!before && under_way && under_way.wish.value && entry.wish.value) entry.wish.value.was = under_way.wish.value.text;
    if (before) {
      // What was typed last counts; what stood there when it was first typed stays.
      before.wish = merge(before.wish, entry.wish);
      before.all_the_same = before.all_the_same || entry.all_the_same;
    } else {
      this.entries.push(entry);
    }
    this.store();
    return this.flush();
  }

  async flush() {
    clearTimeout(this.timer);
    if (this.busy) return;
    this.busy = true;
    let again = 0;
    while (this.entries.length) {
      const entry = this.entries[0];
      let answer = null;
      try {
        answer = await this.send(entry);
      } catch {
        answer = null;
      }
      if (answer && answer.body && answer.body.reason === "again" && again < 20) {
        again += 1;
        await new Promise((done) => setTimeout(done, 25));
        continue;
      }
      if (!answer || !answer.body || lasting(answer)) {
        this.trouble = (answer && answer.body && answer.body.why) || "";
        this.timer = setTimeout(() => this.flush(), 2000);
        break;
      }
      again = 0;
      this.trouble = null;
      this.entries.shift();
      this.settled(entry, answer);
    }
    this.busy = false;
    this.store();
  }
}

// Answers that may be another one later: the value waits on this device.
function lasting(answer) {
  return answer.status === 401 || answer.status === 403 || answer.status === 404 || answer.status === 429 || answer.status >= 500
    || answer.body.reason === "again" || answer.body.reason === "gone" || answer.body.reason === "unknown";
}

function merge(before, after) {
  if (before.value && after.value) {
    return { value: { ...after.value, was: before.value.was, says: after.value.says ?? before.value.says } };
  }
  if (before.head && after.head) return { head: { ...after.head, was: before.head.was } };
  return after;
}
