// Opens pages as readers and printers do: narrow and wide, light and dark, scripts on and off, printed on both sizes of paper.
// Told a list of pages as JSON, it says on standard output what was looked at, and ends with 1 where something is wrong.

import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";
import { PDFDocument } from "pdf-lib";
import { chromium } from "playwright-core";
import { tooTight } from "./widths.mjs";

const [listFile, browserPath, shots] = process.argv.slice(2);
const pages = JSON.parse(readFileSync(listFile, "utf8"));
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

// Widths of a phone and of a desk's screen; points of paper, 72 an inch (ISO 216; ANSI/ASME Y14.1).
const WIDTHS = { phone: 375, desk: 1280 };
const PAPERS = { a4: [595.28, 841.89], letter: [612, 792] };

let passed = 0;
const failed = [];
const check = (holds, what) => {
  if (holds) passed += 1;
  else failed.push(what);
};

const browser = await chromium.launch({ executablePath: browserPath, args: ["--no-sandbox", "--disable-gpu"] });

async function open(page, width, colorScheme, javaScriptEnabled) {
  const context = await browser.newContext({ viewport: { width, height: 900 }, colorScheme, javaScriptEnabled });
  const tab = await context.newPage();
  tab.setDefaultTimeout(20000);
  const said = [];
  const asked = [];
  tab.on("console", (message) => said.push(message.text()));
  tab.on("pageerror", (error) => said.push(String(error)));
  tab.on("dialog", (dialog) => { said.push(`dialog: ${dialog.message()}`); dialog.dismiss(); });
  tab.on("request", (request) => asked.push(request.url()));
  const address = pathToFileURL(page.file).href;
  await tab.goto(address);
  return { context, tab, said, asked, address };
}

async function read(page) {
  // Each width and each scheme once: what is too wide does not depend on the scheme, nor a contrast on the width.
  for (const [screen, scheme] of [["phone", "dark"], ["desk", "light"]]) {
    const width = WIDTHS[screen];
    for (const scripts of [true, false]) {
      const where = `${page.name}, ${screen}, ${scheme}, scripts ${scripts ? "on" : "off"}`;
      const { context, tab, said, asked, address } = await open(page, width, scheme, scripts);
      check(asked.length === 1 && asked[0] === address, `${where}: asked for ${asked.join(", ")}`);
      const wide = await tab.evaluate(() => document.documentElement.scrollWidth);
      check(wide <= width, `${where}: ${wide} wide`);
      const scheme_seen = await tab.evaluate(() => getComputedStyle(document.body).backgroundColor);
      const [red] = scheme_seen.match(/\d+/).map(Number);
      check(scheme === "dark" ? red < 64 : red > 192, `${where}: the page is ${scheme_seen}`);
      // The same page is looked at with scripts on: without them what looks at it cannot wait for anything.
      if (scripts) await accessible(tab, where);
      if (page.filter) await filter(page, tab, where, scripts);
      check(said.length === 0, `${where}: said ${said.join(" | ")}`);
      if (shots) await tab.screenshot({ path: `${shots}/${page.name}-${screen}-${scheme}.png` });
      await context.close();
    }
  }
}

async function accessible(tab, where) {
  await tab.evaluate(axe);
  const found = await tab.evaluate(() => axe.run(document, { resultTypes: ["violations"] }));
  const words = found.violations.map((one) => `${one.id}: ${one.nodes.slice(0, 3).map((node) => `${node.html.slice(0, 160)} ${node.failureSummary}`).join(" | ")}`);
  check(words.length === 0, `${where}: ${words.join("\n    ")}`);
  check(found.passes.length > 5, `${where}: hardly anything was looked at`);
}

// Nothing runs into anything at any width; on a phone the good rows are folded, and each row takes two lines.
async function widths(page) {
  const { context, tab } = await open(page, WIDTHS.desk, "light", false);
  const found = await tooTight(tab);
  check(found.length === 0, `${page.name}: ${found.slice(0, 5).join("\n    ")}`);
  await context.close();
}

async function phone(page) {
  const { context, tab } = await open(page, WIDTHS.phone, "light", false);
  const shown = () => tab.locator("table.measured tr.good:visible").count();
  const all = await tab.locator("table.measured tr.good").count();
  check(all > 100 && (await shown()) === 0, `${page.name}: good rows are not folded on a phone`);
  const minded = await tab.locator("table.measured tr.fails:visible, table.measured tr.mind:visible").count();
  check(minded === page.fold, `${page.name}: ${minded} rows stay, not ${page.fold}`);
  await tab.locator("label.fold").click();
  check((await shown()) === all, `${page.name}: not every good row is unfolded`);
  // What is judged and its value stand on one line, its grade and its range on the next.
  const lines = await tab.locator("table.measured tr.good").evaluateAll((rows) => rows.map((row) => {
    const top = (selector) => row.querySelector(selector)?.getBoundingClientRect();
    const [name, value, grade, range] = ["th", "td.value", "td.grade", "td.range:not(.aside)"].map(top);
    return name.top < grade.top && value.top < grade.top && (!range || range.top >= value.top + 10) && range.bottom <= row.getBoundingClientRect().bottom + 1;
  }));
  check(lines.every(Boolean), `${page.name}: ${lines.filter((one) => !one).length} rows are not in two lines`);
  await tab.setViewportSize({ width: WIDTHS.desk, height: 900 });
  check(!(await tab.locator("input.fold").isVisible()), `${page.name}: the box that unfolds stands on a desk's screen`);
  await context.close();
}

async function filter(page, tab, where, scripts) {
  const shown = () => tab.locator("tr.build:visible").count();
  const all = await shown();
  check(all === page.filter.all, `${where}: ${all} builds, not ${page.filter.all}`);
  const box = tab.locator("input[type=search]");
  if (!scripts) {
    check(!(await box.isVisible()), `${where}: there is a box that does nothing`);
    return;
  }
  // By the keyboard alone: the box is the first thing that takes letters.
  await tab.keyboard.press("Tab");
  check(await box.evaluate((element) => element === document.activeElement), `${where}: the box is not reached by a key`);
  await tab.keyboard.type(page.filter.words);
  const some = await shown();
  check(some === page.filter.some, `${where}: ${some} builds say ${page.filter.words}, not ${page.filter.some}`);
  await box.fill("");
  check((await shown()) === all, `${where}: not all are back`);
  // Narrowed by grade and day, sorted by a heading and back.
  const first = () => tab.locator("tr.build:visible th a, tr.build:visible th bdi").first().textContent();
  const found = await first();
  if (page.filter.out !== undefined) {
    await tab.locator("#of-grade").selectOption("out");
    check((await shown()) === page.filter.out, `${where}: ${await shown()} builds are out, not ${page.filter.out}`);
    await tab.locator("#of-grade").selectOption("");
    await tab.locator("#from-day").fill("2026-08-01");
    const late = await shown();
    await tab.locator("#from-day").fill("");
    await tab.locator("#to-day").fill("2026-07-31");
    const early = await shown();
    check(late > 0 && early > 0 && late + early === all, `${where}: ${late} builds from August, ${early} before, of ${all}`);
    await tab.locator("#to-day").fill("");
  }
  const heading = tab.locator("table.builds th[scope=col] button").first();
  // On a phone the headings are not there.
  if (page.filter.out !== undefined && (await heading.isVisible())) {
    await heading.click();
    const [least] = [await first()];
    check(least === "K-0141", `${where}: sorted by name ${least} is first`);
    await heading.click();
    check((await first()) > least && (await tab.locator("th[aria-sort=descending]").count()) === 1, `${where}: not sorted the other way`);
    await heading.click();
    check((await first()) === found, `${where}: not in the order found`);
  }
  const link = tab.locator("tr.build a").first();
  check((await link.getAttribute("href")).startsWith("./"), `${where}: a link out of the folder`);
}

async function print(page) {
  // A reader who likes it dark prints on white paper all the same.
  const { context, tab } = await open(page, WIDTHS.desk, "dark", true);
  await tab.emulateMedia({ media: "print", colorScheme: "dark" });
  const white = await tab.evaluate(() => getComputedStyle(document.body).backgroundColor);
  check(white === "rgb(255, 255, 255)", `${page.name}: printed on ${white}`);
  await tab.emulateMedia({ media: null, colorScheme: "dark" });
  const pdf = await PDFDocument.load(await tab.pdf({ preferCSSPageSize: true, path: shots ? `${shots}/${page.name}.pdf` : undefined }));
  const count = pdf.getPageCount();
  check(count >= page.pages[0] && count <= page.pages[1], `${page.name}: ${count} pages, not ${page.pages.join(" to ")}`);
  for (const sheet of pdf.getPages()) {
    const { width, height } = sheet.getSize();
    const [wide, high] = PAPERS[page.paper];
    check(Math.abs(width - wide) < 1 && Math.abs(height - high) < 1, `${page.name}: a page of ${width} by ${height} points`);
  }
  // A box to write in has room for a hand: 30 mm by 8 mm (96 points of CSS to the inch).
  if (page.boxes) {
    await tab.emulateMedia({ media: "print" });
    const sizes = await tab.locator("tr.asked .box").evaluateAll((all) => all.map((box) => [box.offsetWidth, box.offsetHeight].map((points) => points / 96 * 25.4)));
    check(sizes.length > 100 && sizes.every(([wide, high]) => wide > 29.5 && high > 7.8), `${page.name}: boxes of ${sizes[0]} mm`);
  }
  await context.close();
}

for (const page of pages) {
  await read(page);
  await print(page);
  if (page.tight) await widths(page);
  if (page.fold !== null) await phone(page);
}
// Links of the list lead to the sheets that stand beside it.
for (const page of pages.filter((page) => page.filter)) {
  const { context, tab } = await open(page, WIDTHS.desk, "light", false);
  const links = await tab.locator("tr.build a").evaluateAll((all) => all.map((link) => [link.href, link.textContent]));
  check(links.length > 0, `${page.name}: no links`);
  for (const [address, build] of links) {
    await tab.goto(address);
    const heading = await tab.locator("h1").textContent();
    // Loose parts stand together on a page of labels.
    check(heading === build || (heading === "Labels" && page.name === "index-mixed"), `${page.name}: ${address} is headed ${heading}, not ${build}`);
  }
  await context.close();
}
await browser.close();
for (const what of failed) console.log(`failed: ${what}`);
console.log(`${passed} passed, ${failed.length} failed`);
process.exitCode = failed.length > 0 || passed === 0 ? 1 : 0;
