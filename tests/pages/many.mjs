// How long the page over many builds takes until its rows stand there and can be narrowed. Given that page as a file and a browser. The
// figures stand in benches/FIGURES.md.
import { chromium } from "playwright-core";
import { statSync } from "node:fs";
import { pathToFileURL } from "node:url";

const [file, browserPath] = process.argv.slice(2);
const browser = await chromium.launch({ executablePath: browserPath, args: ["--no-sandbox"] });
const times = [];
for (let round = 0; round < 5; round += 1) {
  const tab = await browser.newPage();
  await tab.goto(pathToFileURL(file).href);
  times.push(await tab.evaluate(() => performance.getEntriesByType("navigation")[0].loadEventEnd));
  await tab.close();
}
times.sort((one, other) => one - other);
console.log(`${statSync(file).size} bytes, whole after ${times.map(Math.round).join(", ")} ms`);
await browser.close();
