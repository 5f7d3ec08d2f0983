// How long a page of the bench takes to be drawn on a slow phone: a processor a sixth as fast, 1.6 Mbit/s, 150 ms there and back. Given
// the address of a bench on the example shop and a browser. The figures stand in benches/FIGURES.md.
import { chromium } from "playwright-core";

const [address, browserPath] = process.argv.slice(2);
const browser = await chromium.launch({ executablePath: browserPath, args: ["--no-sandbox"] });
for (const path of ["", "build/builds/K-0144.yaml"]) {
  const times = [];
  for (let round = 0; round < 5; round += 1) {
    const context = await browser.newContext({ viewport: { width: 390, height: 844 } });
    const tab = await context.newPage();
    const client = await context.newCDPSession(tab);
    await client.send("Network.enable");
    await client.send("Network.emulateNetworkConditions", { offline: false, latency: 150, downloadThroughput: 1.6e6 / 8, uploadThroughput: 7.5e5 / 8 });
    await client.send("Emulation.setCPUThrottlingRate", { rate: 6 });
    await tab.goto(address + path);
    await tab.waitForFunction(() => performance.getEntriesByName("first-contentful-paint").length > 0);
    times.push(await tab.evaluate(() => ({
      drawn: performance.getEntriesByName("first-contentful-paint")[0].startTime,
      all: performance.getEntriesByType("navigation")[0].domContentLoadedEventEnd,
      bytes: performance.getEntriesByType("navigation")[0].transferSize,
    })));
    await context.close();
  }
  times.sort((one, other) => one.drawn - other.drawn);
  const middle = times[2];
  console.log(`/${path}: ${middle.bytes} bytes, first drawn after ${Math.round(middle.drawn)} ms, whole after ${Math.round(middle.all)} ms`);
}
await browser.close();
