import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { App } from "../app.mjs";
import { Resvg } from "../second.mjs";

export const name = "the app can be installed: its manifest is sound and its icons have the sizes it tells";

/** Why it is not tried in Firefox. */
export const onlyChromium = "the manifest is read by its protocol";

export const usesServiceWorker = true;

export async function run({ page, address }) {
  const app = await App.open(page, address);
  const { url, data, errors } = await app.cdp.send("Page.getAppManifest");
  assert.deepEqual(errors, []);
  const manifest = JSON.parse(data);
  assert.equal(new URL(manifest.start_url, url).href, address);
  assert.equal(new URL(manifest.scope, url).href, address);
  const sizes = manifest.icons.map(({ sizes }) => sizes);
  assert.ok(sizes.includes("192x192") && sizes.includes("512x512"), sizes.join());
  const svg = await readFile(new URL("../../../web/icon.svg", import.meta.url));
  for (const icon of manifest.icons) {
    const seen = await page.evaluate(async (source) => {
      const image = new Image();
      image.src = source;
      await image.decode();
      return `${image.naturalWidth}x${image.naturalHeight}`;
    }, new URL(icon.src, url).href);
    assert.ok(icon.sizes === "any" || seen === icon.sizes, `${icon.src} is ${seen}, not ${icon.sizes}`);
    if (icon.type === "image/png") {
      const drawn = new Resvg(svg, { fitTo: { mode: "width", value: parseInt(icon.sizes, 10) } }).render().asPng();
      const file = await fetch(new URL(icon.src, url)).then((response) => response.arrayBuffer());
      assert.ok(Buffer.from(drawn).equals(Buffer.from(file)), `${icon.src} is not what the icon in SVG looks like`);
    }
  }
  await page.waitForSelector(".signal", { timeout: 60_000 });
  const { installabilityErrors } = await app.cdp.send("Page.getInstallabilityErrors");
  // A window without a trace is what every journey runs in.
  assert.deepEqual(installabilityErrors.filter(({ errorId }) => errorId !== "in-incognito"), []);
}
