import assert from "node:assert/strict";
import { App, pause } from "../app.mjs";

export const name = "a job that arrives late is not opened over what was done meanwhile";

/** Why it is not tried in Firefox. */
export const onlyChromium = "answers of the network are held up by its protocol";

const [SLOW, OTHER] = ["Water pump with a switch", "Socket in the cab"];

export async function run({ page, address }) {
  const app = await App.open(page, address);
  const held = [];
  app.cdp.on("Fetch.requestPaused", ({ requestId }) => held.push(() => app.cdp.send("Fetch.continueRequest", { requestId })));
  await app.cdp.send("Fetch.enable", { patterns: [{ urlPattern: "*/starts-pump-*" }] });
  /** Lets the slow job arrive, and gives the page the time to open it. */
  const arrive = async () => {
    assert.equal(held.length, 1);
    await Promise.all([page.waitForResponse((response) => response.url().includes("starts-pump-")), held.pop()()]);
    await pause(500);
  };

  // The page was closed, and the job drawn on.
  await app.openJobs();
  await app.pressButton(SLOW, "dialog");
  await app.pressButton("Close", "dialog");
  await app.put("battery", () => app.spot([0.3, 0.3]));
  await app.kept();
  const [id, text] = [await app.jobId(), await app.jobText()];
  await arrive();
  assert.deepEqual([await app.jobId(), await app.jobText()], [id, text]);

  // It was closed and opened anew: what is in it now was not picked.
  await app.openJobs();
  await app.pressButton(SLOW, "dialog");
  await app.pressButton("Close", "dialog");
  await app.noDialog();
  await app.openJobs();
  await arrive();
  assert.ok(await page.$("dialog[open]"));
  assert.equal(await app.jobId(), id);

  // Another was picked after it.
  await app.pressButton(SLOW, "dialog");
  await app.pressButton(OTHER, "dialog");
  await app.noDialog();
  await arrive();
  assert.equal(await app.text("h1"), OTHER);

  // What is waited for is opened.
  await app.openJobs();
  await app.pressButton(SLOW, "dialog");
  await arrive();
  await app.noDialog();
  assert.equal(await app.text("h1"), SLOW);
}
