// Opens the bench as a mechanic does: builds entered by keyboard alone, two browsers at one build, the connection gone and back, a
// gauge that types. Given a folder of shops, the program and a browser; says on standard output what was looked at, ends with 1 where something is
// wrong.

import { spawn, spawnSync } from "node:child_process";
import { cpSync, existsSync, mkdirSync, readFileSync, readdirSync, renameSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { chromium } from "playwright-core";

const [folder, program, browserPath, entered, shots] = process.argv.slice(2);
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const env = { ...process.env, TROCHOID_TODAY: "2026-11-28" };

let passed = 0;
const failed = [];
const check = (holds, what) => {
  if (holds) passed += 1;
  else failed.push(what);
};

function bench(shop, port = "0", more = []) {
  const child = spawn(program, ["bench", shop, "--port", port, ...more], { env, stdio: ["ignore", "pipe", "pipe"] });
  return new Promise((done, fail) => {
    let said = "";
    const read = (bytes) => {
      said += bytes;
      const address = said.match(/http:\/\/localhost:(\d+)\//);
      if (address) done({ child, address: address[0], port: address[1], end: () => new Promise((over) => { child.once("exit", over); child.kill("SIGTERM"); }) });
    };
    child.stdout.on("data", read);
    child.stderr.on("data", read);
    child.once("exit", (code) => fail(new Error(`bench ended with ${code}: ${said}`)));
  });
}

const browser = await chromium.launch({ executablePath: browserPath, args: ["--no-sandbox", "--disable-gpu"] });
// So many builds are entered at once.
const AT_ONCE = 4;
const PHONE = { width: 390, height: 844 };
const DESK = { width: 1280, height: 900 };

async function open(address, { viewport = DESK, colorScheme = "light" } = {}) {
  const context = await browser.newContext({ viewport, colorScheme });
  const tab = await context.newPage();
  tab.setDefaultTimeout(60000);
  const said = [];
  tab.on("console", (message) => { if (message.type() === "error") said.push(message.text()); });
  tab.on("pageerror", (error) => said.push(String(error)));
  await tab.goto(address);
  if (address.includes("/build/") || address.includes("/part/")) await tab.waitForSelector("#record[data-ready]");
  return { context, tab, said };
}

const kept = (tab) => tab.waitForFunction(() => document.getElementById("kept").textContent === "Everything is kept.");
const judged = (file) => {
  const run = spawnSync(program, ["check", file, "--format", "json"], { env, encoding: "utf8", maxBuffer: 1 << 28 });
  return JSON.parse(run.stdout).records[0];
};
// The rows of a page, as `check` gives them: the way and the grade.
const rows = (tab) => tab.evaluate(() => Array.from(document.querySelectorAll(".ruling")).map((one) => `${one.dataset.path} ${one.dataset.grade}`).sort());

// The top of a record, as it stands before anything is measured.
function head(text) {
  const wanted = ["build:", "finished:", "generation:", "gauges:"];
  let inside = false;
  return text.split("\n").filter((line) => {
    if (/^[^\s#-]/.test(line)) inside = wanted.some((key) => line.startsWith(key));
    return inside || line.startsWith("#");
  }).join("\n") + "\n";
}

// What is written in a record, field by field, as the page itself shows it.
const fields = (tab) => tab.evaluate(() => Array.from(document.querySelectorAll(".field[data-key]")).map((field) => ({
  key: field.dataset.key,
  entry: field.dataset.entry,
  items: Array.from(field.querySelectorAll(":scope > .value")).map((box) => ({ text: box.dataset.was || "", says: box.dataset.says ? JSON.parse(box.dataset.says) : [] })).filter((item) => item.text),
})));

// The control with the focus: its field and value, and what there is to know of it.
const here = (tab) => tab.evaluate(() => {
  const own = document.activeElement;
  const box = own.closest(".field[data-key] > .value");
  if (!box) return null;
  const field = box.closest(".field");
  return {
    key: field.dataset.key,
    item: Number(box.dataset.item),
    boxes: field.querySelectorAll(":scope > .value").length,
    kind: own.type === "radio" ? "radio" : own.tagName === "SELECT" ? "select" : "text",
    text: own.value,
    by: (box.querySelector(".says").textContent.match(/^by (.*)$/) || [])[1] || "",
  };
});

// One build, by keyboard alone: Enter from value to value, Tab to what stands beside them.
async function byKeyboard(shop, served, name) {
  const file = `${shop}/builds/${name}`;
  const original = readFileSync(file, "utf8");
  const address = `${served.address}build/builds/${name}`;
  const before = await open(address);
  const wanted = new Map((await fields(before.tab)).map((field) => [field.key, field]));
  const expected = judged(file);
  await before.context.close();
  writeFileSync(file, head(original));
  const { context, tab, said } = await open(address);
  await tab.keyboard.press("Tab");
  for (let step = 0; step < 60 && !(await here(tab)); step += 1) await tab.keyboard.press("Tab");
  // What may be left out is folded away; where this build has some of it, that is opened, by keyboard too.
  const begin = await here(tab);
  const folded = await tab.evaluate((keys) => Array.from(document.querySelectorAll("details.folded")).map((fold) => Array.from(fold.querySelectorAll(".field[data-key]")).some((field) => keys.includes(field.dataset.key))), Array.from(wanted.values()).filter((field) => field.items.length).map((field) => field.key));
  for (let number = 0; number < folded.length; number += 1) {
    if (!folded[number]) continue;
    await tab.evaluate((at) => document.querySelectorAll("details.folded > summary")[at].focus(), number);
    await tab.keyboard.press("Enter");
  }
  await tab.evaluate(({ key }) => Array.from(document.querySelectorAll(".field[data-key]")).find((one) => one.dataset.key === key).querySelector("input, select").focus(), begin);
  const asked = await tab.evaluate(() => Array.from(document.querySelectorAll(".field[data-key]")).filter((field) => !field.closest("details.folded:not([open])")).length);
  const seen = new Set();
  for (;;) {
    const place = await here(tab);
    if (!place) break;
    const field = wanted.get(place.key);
    const item = field && field.items[place.item];
    seen.add(place.key);
    if (item) await type(tab, place, item);
    const more = field && field.items.length > place.item + 1;
    if (more && place.item + 1 >= place.boxes) {
      // One more value than there are boxes.
      await tabTo(tab, "one-more");
      await tab.keyboard.press("Enter");
      continue;
    }
    await tab.keyboard.press("Enter");
    if (item) await answered(tab, place);
  }
  check(seen.size === asked, `${name}: ${seen.size} of ${asked} fields reached by Enter`);
  await kept(tab);
  // Its concessions as they are: signing one is looked at elsewhere.
  const conceded = original.match(/^concessions:.*\n(?:[ -].*\n)*/m);
  if (conceded) writeFileSync(file, readFileSync(file, "utf8") + conceded[0]);
  const again = judged(file);
  const grades = (record) => record.rulings.map((one) => `${one.path} ${one.grade.replace("advisory ", "")}`).sort().join("\n");
  const differs = (one, other) => one.filter((row) => !other.includes(row)).slice(0, 8).join(", ");
  const [wished, found] = [grades(expected).split("\n"), grades(again).split("\n")];
  check(grades(expected) === grades(again), `${name}: entered, it is judged otherwise: ${differs(wished, found)} became ${differs(found, wished)}`);
  await tab.reload();
  await tab.waitForSelector("#record[data-ready]");
  // Rows that lack a reading stand once for each value that is not there.
  const measured = (list) => list.filter((one) => !one.endsWith(" unmeasured")).join("\n");
  check(measured(await rows(tab)) === measured(found), `${name}: the page shows other rows than check: ${differs(measured(await rows(tab)).split("\n"), measured(found).split("\n"))} for ${differs(measured(found).split("\n"), measured(await rows(tab)).split("\n"))}`);
  check(said.filter((one) => !/422|409/.test(one)).length === 0, `${name}: said ${said.join(" | ")}`);
  await context.close();
}

async function tabTo(tab, name) {
  for (let step = 0; step < 40; step += 1) {
    if (await tab.evaluate((wanted) => document.activeElement.classList.contains(wanted), name)) return;
    await tab.keyboard.press("Tab");
  }
  throw new Error(`no ${name} by Tab`);
}

// What is asked after a value that cannot be: it is written all the same, or who confirmed it is said.
async function answered(tab, place) {
  const asked = await tab.evaluate(({ key, item }) => new Promise((done) => {
    const box = document.getElementById(`at-${key}`).closest(".field").querySelector(`:scope > .value[data-item="${item}"]`);
    const status = document.getElementById("kept");
    const look = () => {
      const objection = box.querySelector(".objection");
      if (status.textContent !== "Everything is kept." && objection.hidden) return false;
      watching.disconnect();
      const button = objection.querySelector(".all-the-same");
      if (button) button.focus();
      done(Boolean(button));
      return true;
    };
    const watching = new MutationObserver(look);
    watching.observe(status, { childList: true, characterData: true, subtree: true });
    watching.observe(box, { childList: true, attributes: true, subtree: true });
    look();
  }), place);
  if (!asked) return;
  await tab.keyboard.press("Enter");
  await kept(tab);
  // On to the next one from there.
  await tab.evaluate(({ key, item }) => {
    const field = Array.from(document.querySelectorAll(".field[data-key]")).find((one) => one.dataset.key === key);
    const list = Array.from(document.querySelectorAll(".field[data-key] > .value"));
    const box = field.querySelector(`:scope > .value[data-item="${item}"]`);
    const next = list[list.indexOf(box) + 1];
    if (next) (next.querySelector("input[type=radio]:checked") || next.querySelector("input, select")).focus();
  }, place);
}

async function type(tab, { kind, text, by }, item) {
  if (kind === "radio") {
    for (let step = 0; step < 20; step += 1) {
      await tab.keyboard.press(item.text[0].toLowerCase());
      if ((await tab.evaluate(() => document.activeElement.value)).toLowerCase() === item.text.toLowerCase()) break;
    }
  } else if (kind === "select") {
    await tab.keyboard.type(item.text);
  } else {
    if (text) await tab.keyboard.press("ControlOrMeta+a");
    await tab.keyboard.insertText(item.text);
  }
  const gauge = item.says.find(([name]) => name === "gauge");
  const others = item.says.filter(([name]) => name !== "gauge");
  if (others.length === 0 && (gauge ? gauge[1] : "") === by) return;
  if (item.says.length === 0 && by === "") return;
  await tabTo(tab, "more");
  await tab.keyboard.press("Enter");
  for (;;) {
    const named = await tab.evaluate(() => document.activeElement.dataset.says || "");
    if (!named) break;
    const value = (item.says.find(([name]) => name === named) || ["", ""])[1];
    // A list is opened by its letters; nothing chosen is its first line.
    if (await tab.evaluate(() => document.activeElement.tagName === "SELECT")) {
      await tab.keyboard.press("Home");
      if (value) await tab.keyboard.type(value);
    } else {
      await tab.keyboard.press("ControlOrMeta+a");
      if (value) await tab.keyboard.insertText(value);
      else await tab.keyboard.press("Delete");
    }
    await tab.keyboard.press("Tab");
  }
  await tabTo(tab, "write");
  await tab.keyboard.press("Enter");
}

const shopOf = (name) => {
  const to = `${folder}/${name}`;
  cpSync(`${folder}/kestrel`, to, { recursive: true });
  return to;
};

async function accessible(tab, where) {
  await tab.evaluate(axe);
  const { violations } = await tab.evaluate(() => axe.run(document, { resultTypes: ["violations"] }));
  check(violations.length === 0, `${where}: ${violations.map((one) => `${one.id} ${one.nodes.slice(0, 3).map((node) => node.html).join(" ")}`).join("; ")}`);
}

async function screens(served) {
  // Each width and each scheme once: what is too wide does not depend on the scheme, nor a contrast on the width.
  for (const [screen, viewport, colorScheme] of [["phone", PHONE, "dark"], ["desk", DESK, "light"]]) {
    for (const [name, path] of [["build", "build/builds/K-0144.yaml"], ["started", "build/builds/K-0145.yaml"], ["part", "part/shelf/rotors.yaml?tag=R-001"]]) {
      const where = `${name}, ${screen}, ${colorScheme}`;
      const { context, tab, said } = await open(served.address + path, { viewport, colorScheme });
      check((await tab.evaluate(() => document.documentElement.scrollWidth)) <= viewport.width, `${where}: too wide`);
      const small = await tab.evaluate(() => Array.from(document.querySelectorAll("main button, main input:not([type=radio]), main select, main .choices label, main .units label, main summary, main a.step")).filter((one) => {
        const { width, height } = one.getBoundingClientRect();
        return width > 0 && (height < 43.5 || width < 43.5);
      }).map((one) => one.outerHTML.slice(0, 80)));
      check(small.length === 0, `${where}: ${small.length} targets under 44 px: ${small.slice(0, 3).join(" ")}`);
      await accessible(tab, where);
      check(said.length === 0, `${where}: said ${said.join(" | ")}`);
      if (shots) await tab.screenshot({ path: `${shots}/bench-${name}-${screen}-${colorScheme}.png` });
      await context.close();
    }
  }
}

const box = (tab, key, item = 0) => tab.locator(`.field[data-key="${key}"] > .value[data-item="${item}"]`);
const input = (tab, key, item = 0) => box(tab, key, item).locator("input, select").first();
const text = (shop) => readFileSync(`${shop}/builds/K-0145.yaml`, "utf8");

// Two devices: another reading is seen within a second, the same reading is shown twice and one is chosen.
async function two(served, shop) {
  const address = `${served.address}build/builds/K-0145.yaml`;
  const [one, other] = [await open(address), await open(address, { viewport: PHONE })];
  await input(one.tab, "end_play").fill("0.061");
  await input(one.tab, "end_play").press("Enter");
  await other.tab.waitForFunction(() => Array.from(document.querySelectorAll(".field[data-key]")).find((field) => field.dataset.key === "end_play").querySelector("input").value === "0.061 mm", null, { timeout: 5000 });
  check(true, "another device sees a value");
  // Both type at once; the first one is kept, the second one is asked.
  await input(one.tab, "spacer_thickness").fill("8.021");
  await input(other.tab, "spacer_thickness").fill("8.022");
  await input(one.tab, "spacer_thickness").press("Enter");
  await kept(one.tab);
  await input(other.tab, "spacer_thickness").press("Enter");
  const trouble = box(other.tab, "spacer_thickness").locator(".objection");
  await trouble.waitFor({ state: "visible" });
  const words = await trouble.innerText();
  check(words.includes("8.021") && words.includes("8.022"), `both values are shown: ${words}`);
  check(text(shop).includes("8.021") && !text(shop).includes("8.022"), "nothing is written before one is chosen");
  if (shots) await other.tab.screenshot({ path: `${shots}/bench-both.png` });
  await trouble.locator(".mine").click();
  await kept(other.tab);
  check(text(shop).includes("8.022") && !text(shop).includes("8.021"), "the chosen value is written");
  // Undo, as deep as the visit.
  await one.tab.locator("#undo").click();
  await one.tab.waitForFunction(() => !document.getElementById("kept").textContent.includes("Keeping"));
  // An editor changes the file meanwhile: another reading, both stay.
  const before = text(shop);
  writeFileSync(`${shop}/builds/K-0145.yaml`, before.replace(/^# Invented/m, "# By hand.\n# Invented"));
  
  await input(other.tab, "end_play").fill("0.062");
  await input(other.tab, "end_play").press("Enter");
  await kept(other.tab);
  check(text(shop).includes("# By hand.") && text(shop).includes("0.062"), "what an editor wrote and what the page wrote are both there");
  await one.context.close();
  await other.context.close();
}

// A value that cannot be is asked about at once, and one that cannot be read stays in its box.
async function refused(served, shop) {
  const { context, tab } = await open(`${served.address}build/builds/K-0145.yaml`);
  const before = text(shop);
  await input(tab, "end_play").fill("abc");
  await input(tab, "end_play").press("Enter");
  const trouble = box(tab, "end_play").locator(".objection");
  await trouble.waitFor({ state: "visible" });
  check((await input(tab, "end_play").inputValue()) === "abc", "what was typed stays in its box");
  check(text(shop) === before, "what is refused is not written");
  await input(tab, "end_play").fill("61 mm");
  await input(tab, "end_play").press("Enter");
  await trouble.locator(".confirm").waitFor({ state: "visible" });
  check(text(shop) === before, "what cannot be is not written before somebody confirms it");
  if (shots) {
    await trouble.scrollIntoViewIfNeeded();
    await tab.screenshot({ path: `${shots}/bench-implausible.png` });
  }
  await trouble.locator(".who").fill("J. Doe");
  await trouble.locator(".confirm").click();
  await kept(tab);
  check(/end_play:.*61 mm.*confirmed: J\. Doe/.test(text(shop)), `confirmed: ${text(shop).match(/end_play.*/)}`);
  await tab.locator("#undo").click();
  await tab.waitForTimeout(50);
  await kept(tab);
  check(text(shop) === before, `undone, the file is as it was:\n${text(shop).match(/end_play.*/)}\n${before.match(/end_play.*/)}`);
  await context.close();
}

// The connection is gone and comes back; the page warns meanwhile, and a reload loses nothing.
async function offline(shop) {
  let served = await bench(shop);
  const { port } = served;
  const { context, tab } = await open(`${served.address}build/builds/K-0145.yaml`);
  await served.end();
  const before = text(shop);
  await input(tab, "end_play").fill("0.063");
  await input(tab, "end_play").press("Enter");
  await input(tab, "spacer_thickness").fill("8.033");
  await input(tab, "spacer_thickness").press("Enter");
  await tab.waitForFunction(() => document.getElementById("kept").textContent.startsWith("2 values are not kept yet"));
  check(text(shop) === before, "nothing is written while nobody answers");
  if (shots) await tab.screenshot({ path: `${shots}/bench-offline.png` });
  let asked = false;
  tab.on("dialog", (dialog) => { asked = dialog.type() === "beforeunload"; dialog.dismiss(); });
  await tab.close({ runBeforeUnload: true });
  await new Promise((done) => setTimeout(done, 500));
  check(asked, "closing the page warns");
  // Meanwhile another reading was written with an editor: the page has it once it hears again.
  writeFileSync(`${shop}/builds/K-0145.yaml`, text(shop).replace(/^( *)jacket_land: .*$/m, "$1jacket_land: 1.9 mm"));
  served = await bench(shop, port);
  await kept(tab);
  await tab.waitForFunction(() => Array.from(document.querySelectorAll(".field[data-key$=jacket_land] input")).some((one) => one.value === "1.9 mm"));
  check(true, "what was written meanwhile is on the page");
  check(text(shop).includes("0.063") && text(shop).includes("8.033"), "sent when the connection is back");
  // Gone again, and the page loaded anew once it is back: what waits on the device is sent.
  await served.end();
  await input(tab, "end_play").fill("0.064");
  await input(tab, "end_play").press("Enter");
  await tab.waitForFunction(() => document.getElementById("kept").textContent.startsWith("1 value is not kept yet"));
  const fresh = await context.newPage();
  await tab.evaluate(() => { window.onbeforeunload = null; });
  await tab.close();
  served = await bench(shop, port);
  await fresh.goto(`${served.address}build/builds/K-0145.yaml`);
  await fresh.waitForSelector("#record[data-ready]");
  await kept(fresh);
  // The page may be whole before it has looked what waits.
  for (let tries = 0; tries < 100 && !text(shop).includes("0.064"); tries += 1) await new Promise((done) => setTimeout(done, 100));
  check(text(shop).includes("0.064"), "what waited on the device is sent by the next page");
  // The record is moved away while it is open, and comes back.
  renameSync(`${shop}/builds/K-0145.yaml`, `${shop}/moved.txt`);
  await input(fresh, "end_play").fill("0.065");
  await input(fresh, "end_play").press("Enter");
  await fresh.waitForFunction(() => document.getElementById("kept").textContent.includes("moved or deleted"));
  check(!existsSync(`${shop}/builds/K-0145.yaml`), "a record that was moved is not made anew");
  renameSync(`${shop}/moved.txt`, `${shop}/builds/K-0145.yaml`);
  await kept(fresh);
  check(text(shop).includes("0.065"), "and the value is written once the record is back");
  await served.end();
  await context.close();
}

// A gauge that types like a keyboard: figures and Enter, with nobody touching the screen.
async function gauge(served, shop) {
  const { context, tab } = await open(`${served.address}build/builds/K-0145.yaml`);
  await input(tab, "housing.front.width.plug_side").focus();
  for (const figure of ["80.01", "79.99", "80.00", "80.02"]) {
    await tab.keyboard.type(figure, { delay: 1 });
    await tab.keyboard.press("Enter");
  }
  await kept(tab);
  const found = judged(`${shop}/builds/K-0145.yaml`).rulings.filter((one) => one.path.startsWith("housing.front.width"));
  check(found.length === 0 || found.every((one) => one.grade !== "unmeasured"), `a gauge types: ${JSON.stringify(found)}`);
  check(/plug_side: *\{? *(value: )?80\.01 mm/.test(text(shop)) && text(shop).includes("80.02 mm"), "what a gauge typed is in the file");
  await context.close();
}

// A page of somebody else in another tab writes nothing, and reads nothing.
async function hostile(served, shop) {
  const before = text(shop);
  const context = await browser.newContext();
  const tab = await context.newPage();
  await tab.route("http://elsewhere.test/**", (route) => route.fulfill({ contentType: "text/html", body: "<h1>elsewhere</h1>" }));
  await tab.goto("http://elsewhere.test/");
  const wish = JSON.stringify({ record: "builds/K-0145.yaml", wish: { value: { key: "end_play", item: 0, was: "", text: "0.099 mm" } }, all_the_same: true });
  const outcome = await tab.evaluate(async ({ address, wish }) => {
    const tries = [];
    for (const init of [
      { method: "POST", body: wish },
      { method: "POST", body: wish, mode: "no-cors" },
      { method: "POST", body: wish, mode: "no-cors", headers: { "Content-Type": "text/plain" } },
      { method: "POST", body: wish, headers: { "X-Trochoid": "1" } },
    ]) tries.push(await fetch(`${address}keep`, init).then((answer) => answer.type === "opaque" ? "opaque" : String(answer.status), () => "failed"));
    tries.push(await fetch(`${address}build/builds/K-0145.yaml`).then((answer) => answer.text(), () => "failed"));
    const form = document.createElement("form");
    form.method = "post";
    form.action = `${address}keep`;
    form.enctype = "text/plain";
    const field = document.createElement("input");
    field.name = wish.slice(0, -1);
    form.append(field);
    document.body.append(form);
    form.submit();
    return tries;
  }, { address: served.address, wish });
  await tab.waitForTimeout(500);
  check(outcome.every((one) => one === "failed" || one === "opaque"), `a page elsewhere was answered: ${outcome.join(", ").slice(0, 300)}`);
  check(text(shop) === before, "a page elsewhere wrote nothing");
  const frame = await context.newPage();
  await frame.route("http://elsewhere.test/**", (route) => route.fulfill({ contentType: "text/html", body: `<iframe src="${served.address}build/builds/K-0145.yaml"></iframe>` }));
  await frame.goto("http://elsewhere.test/frame");
  await frame.waitForTimeout(300);
  const inside = await Promise.all(frame.frames().slice(1).map((one) => one.locator("#record").count().catch(() => 0)));
  check(inside.every((count) => count === 0), "no page is shown inside another one");
  await context.close();
}

if (shots) mkdirSync(shots, { recursive: true });
// Each part has a shop of its own. One that fails does not keep the others from being looked at.
const parts = {
  screens: async (shop) => {
    const served = await bench(shop);
    await screens(served);
    await two(served, shop);
    await served.end();
  },
  refused: async (shop) => {
    const served = await bench(shop);
    await refused(served, shop);
    await gauge(served, shop);
    await hostile(served, shop);
    await served.end();
  },
  offline,
  entered: async (shop) => {
    const served = await bench(shop);
    const names = readdirSync(`${shop}/builds`).filter((name) => name.endsWith(".yaml")).sort();
    const wanted = entered === "all" ? names : names.filter((name) => entered.split(",").includes(name.slice(0, -5)));
    // Several at once, as in a shop: most of the time is waiting.
    const one = async () => {
      for (let name = wanted.shift(); name; name = wanted.shift()) {
        const from = Date.now();
        await byKeyboard(shop, served, name).catch((error) => failed.push(`${name}: ${error.message}`));
        console.log(`${name}: ${Date.now() - from} ms`);
      }
    };
    await Promise.all(Array.from({ length: AT_ONCE }, one));
    await served.end();
  },
};
const only = process.env.TROCHOID_BENCH_PARTS;
for (const [name, part] of Object.entries(parts)) {
  if (only && !only.split(",").includes(name)) continue;
  await part(shopOf(name)).catch((error) => failed.push(`${name}: ${error.stack}`));
  console.log(`${name}: ${passed} passed, ${failed.length} failed so far`);
}
await browser.close();
for (const one of failed) console.log(`FAILED ${one}`);
console.log(`${passed} passed, ${failed.length} failed`);
process.exit(failed.length ? 1 : 0);
