// Runs the extension in the program it is made for, as somebody who writes rulebooks does: installs the packed file, opens a folder with a
// spoilt record and a spoilt book in a browser, and compares what is underlined with what `check` says. Given the packed extension, the program
// and a browser; says on standard output what was looked at, ends with 1 where something is wrong.

import { execFileSync, spawn, spawnSync } from "node:child_process";
import { chmodSync, cpSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { chromium } from "playwright-core";

const [packed, program, browserPath, shots] = process.argv.slice(2).map((path) => path && resolve(path));
const here = import.meta.dirname;
const examples = resolve(here, "../../examples");
const host = join(here, "node_modules/code-server/lib/vscode/out/server-main.js");
// The host runs in the Node it was built for, which the registry has as a package.
const node = join(here, `node_modules/node-linux-${process.arch}/bin/node`);
const env = { ...process.env, TROCHOID_TODAY: "2026-11-28" };

let passed = 0;
const failed = [];
const check = (holds, what) => {
  if (holds) passed += 1;
  else failed.push(what);
};

// A shop with another below it: a record of the one is spoilt, and a book of the other.
const work = mkdtempSync(join(tmpdir(), "trochoid-extension-"));
const folder = join(work, "kestrel");
cpSync(join(examples, "kestrel"), folder, { recursive: true });
cpSync(join(examples, "whimbrel"), join(folder, "whimbrel"), { recursive: true });
const record = join(folder, "builds/K-0142.yaml");
const book = join(folder, "whimbrel/books/whimbrel.rulebook");
const spoil = (path, from, to) => {
  const text = readFileSync(path, "utf8");
  if (!text.includes(from)) throw new Error(`${path} has no ${from}`);
  writeFileSync(path, text.replace(from, to));
};
spoil(record, "end_play: { value: 0.050 mm", "end_play: { value: 0.050 kg");
spoil(book, " limit at most ", " limit at moost ");

/** What `check` says about a file: the first sentence of each of its errors. */
function said(path) {
  const output = spawnSync(program, ["check", path, "--format", "json"], { env, encoding: "utf8" });
  const sentences = [];
  const gather = (value) => {
    if (Array.isArray(value)) value.forEach(gather);
    else if (value && typeof value === "object") {
      if (value.code && value.message && value.severity === "error") sentences.push(value.message);
      Object.values(value).forEach(gather);
    }
  };
  gather(JSON.parse(output.stdout));
  return [...new Set(sentences)];
}

// The program as the extension starts it, with what the editor says written down and a way to end it.
const heard = join(work, "heard");
const pids = join(work, "pids");
const wrapped = join(work, "trochoid");
writeFileSync(
  wrapped,
  `#!/bin/sh
[ "$1" = language-server ] || exec '${program}' "$@"
tee -a '${heard}' | sh -c 'echo $$ >>"$0"; exec "$@"' '${pids}' '${program}' "$@"
`,
);
chmodSync(wrapped, 0o755);
const heardText = () => (existsSync(heard) ? readFileSync(heard, "utf8") : "");
const started = () => (existsSync(pids) ? readFileSync(pids, "utf8").trim().split("\n") : []);

async function until(holds, seconds = 60) {
  const end = Date.now() + seconds * 1000;
  for (;;) {
    if (await holds()) return true;
    if (Date.now() > end) return false;
    await new Promise((done) => setTimeout(done, 100));
  }
}

const freePort = () =>
  new Promise((done) => {
    const server = createServer().listen(0, "127.0.0.1", () => {
      const { port } = server.address();
      server.close(() => done(port));
    });
  });

const data = join(work, "data");
const settings = join(data, "Machine/settings.json");
const extensions = join(work, "extensions");
const set = (more) => {
  mkdirSync(join(data, "Machine"), { recursive: true });
  writeFileSync(settings, JSON.stringify({ "workbench.startupEditor": "none", "trochoid.path": wrapped, ...more }));
};
set({});
const folders = ["--user-data-dir", data, "--server-data-dir", data, "--extensions-dir", extensions];
const installed = execFileSync(node, [host, "--install-extension", packed, ...folders], { env, encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] });
check(/successfully installed/.test(installed), `the extension is installed: ${installed}`);

const port = await freePort();
const answering = ["--host", "127.0.0.1", "--port", String(port), "--without-connection-token", "--accept-server-license-terms"];
const server = spawn(node, [host, ...answering, "--telemetry-level", "off", ...folders], { env, stdio: ["ignore", "pipe", "pipe"] });
let log = "";
for (const stream of [server.stdout, server.stderr]) stream.on("data", (bytes) => (log += bytes));
const browser = await chromium.launch({ executablePath: browserPath, args: ["--no-sandbox", "--disable-gpu"] });
const shot = async (page, name) => shots && (await page.screenshot({ path: join(shots, `${name}.png`) }));

try {
  if (!(await until(() => log.includes("Extension host agent listening")))) throw new Error(`the host does not answer:\n${log}`);
  const page = await browser.newPage({ viewport: { width: 1400, height: 900 } });
  await page.goto(`http://127.0.0.1:${port}/?folder=${encodeURIComponent(folder)}`);

  // Nothing of a folder is run until somebody says that its authors are trusted.
  const trust = page.getByRole("button", { name: /Yes, I trust/ });
  await trust.waitFor({ timeout: 60000 });
  check(started().length === 0, "the program is not started in a folder that is not trusted");
  await trust.click();
  check(await until(() => started().length === 1), "the program is started in a trusted folder of a shop");

  // By its whole path: the host searches folders with a program that the registry does not have.
  const open = async (name, path) => {
    await page.keyboard.press("Control+P");
    await page.locator(".quick-input-widget input").first().fill(path);
    await page.locator(".quick-input-list .monaco-list-row", { hasText: name }).first().waitFor({ timeout: 60000 });
    await page.keyboard.press("Enter");
    await page.locator(".tab.active", { hasText: name }).waitFor({ timeout: 60000 });
  };
  // The list shows as many as there is space for, so it is narrowed to the longest words that have no mark in them.
  const narrow = async (sentence) => {
    const words = sentence.split(/[^\p{L} ]/u).reduce((one, other) => (other.length > one.length ? other : one)).trim();
    await page.locator(".viewpane-filter input, .markers-panel-action-filter input").first().fill(words);
  };
  const problems = () => page.locator(".markers-panel").innerText().catch(() => "");

  await open("K-0142.yaml", record);
  await page.keyboard.press("Control+Shift+M");
  const words = (text) => text.replace(/\s+/g, " ");
  for (const [name, path] of [["K-0142.yaml", record], ["whimbrel.rulebook", book]]) {
    if (path === book) await open(name, path);
    const sentences = said(path);
    check(sentences.length > 0, `check finds the mistake in ${name}`);
    for (const sentence of sentences) {
      await narrow(sentence);
      const shown = await until(async () => words(await problems()).includes(words(sentence)));
      check(shown, `${name}: \`${sentence}\` is among the problems: ${words(await problems())}`);
    }
    check(await until(async () => (await page.locator(".squiggly-error").count()) > 0), `${name}: the mistake is underlined`);
    await shot(page, name);
  }

  // A word, a name and a string are told apart by the grammar.
  const line = page.locator(".view-line", { hasText: "edition" }).first();
  const colours = await line.locator("span span").evaluateAll((spans) => spans.map((span) => [span.textContent.trim(), getComputedStyle(span).color]));
  const colourOf = (part) => colours.find(([text]) => text.includes(part))?.[1];
  check(new Set([colourOf("rulebook"), colourOf('"'), colourOf("20")]).size === 3, `the head of a book is coloured: ${JSON.stringify(colours)}`);

  // What the editor tells the program about hints, at the start and later.
  check(/"initializationOptions":\{"hints":true\}/.test(heardText()), "the program is told at its start that hints are on");
  set({ "trochoid.hints": false });
  const told = '"method":"workspace/didChangeConfiguration","params":{"settings":{"trochoid":{"hints":false}}}';
  check(await until(() => heardText().includes(told)), "the program is told that hints are off");

  // What ends by mistake is started again, and knows what is open.
  process.kill(Number(started()[0]), "SIGKILL");
  check(await until(() => started().length === 2), "the program is started again");
  check(/"initializationOptions":\{"hints":(true|false)\}/.test(heardText().split('"initialize"').pop()), "and told of hints again");
  const first = said(book)[0];
  check(await until(async () => words(await problems()).includes(words(first))), "and its findings are there again");

  // A program that is not there.
  set({ "trochoid.path": join(work, "nowhere") });
  const notice = page.locator(".notification-list-item", { hasText: "was not found" });
  check(await notice.first().waitFor({ timeout: 60000 }).then(() => true, () => false), "it is said plainly that the program was not found");
  await shot(page, "not-found");
  set({});
  check(await until(() => started().length === 3), "a program found again is started");
} finally {
  await browser.close();
  server.kill("SIGTERM");
  await until(() => server.exitCode !== null || server.signalCode !== null, 10);
  rmSync(work, { recursive: true, force: true, maxRetries: 5 });
}

for (const what of failed) console.log(`WRONG ${what}`);
console.log(`${passed} passed, ${failed.length} failed`);
process.exitCode = failed.length === 0 && passed >= 17 ? 0 : 1;
