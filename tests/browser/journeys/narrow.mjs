import assert from "node:assert/strict";

export const name = "nothing but the drawing scrolls sideways, from 320 pixels up";

export async function run({ page, address }) {
  for (const width of [320, 390, 820, 1440]) {
    await page.setViewport({ width, height: 800 });
    await page.goto(address);
    await page.waitForSelector(".sheet svg");
    await page.select(".edge-job select", "1");
    await page.waitForSelector(".finding-stop");
    const wide = await page.evaluate(() => document.documentElement.scrollWidth);
    assert.ok(wide <= width, `${wide} pixels wide in a window of ${width}`);

    // A finger in a glove needs room.
    const small = await page.$$eval("button, select, summary", (elements) =>
      elements.map((element) => element.getBoundingClientRect().height).filter((height) => height < 44),
    );
    assert.deepEqual(small, [], `${small.length} things to press are too small at ${width}`);
  }
}
