import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "what every mistake would do is told, the worst first or thing by thing, and leads to its place";

const JOB = "Driving lamps that stay dark on main beam";
const PLACE = '[data-report="mistakes"]';
const TITLE = "What every mistake would do";

export async function run({ page, address }) {
  const app = await App.open(page, address);
  await app.openListed(JOB);
  await app.side("Prove");
  await app.page.evaluate((title) => {
    const summary = [...document.querySelectorAll("summary")].find((one) => one.textContent === title);
    summary.scrollIntoView({ block: "center" });
    summary.click();
  }, TITLE);
  await app.page.waitForSelector(`${PLACE} button`);
  await app.pressButton("Try every mistake", PLACE);
  const first = await told(app);
  assert.match(first, /^\d+ mistakes tried in 15 situations\./);
  // Read without opening anything: what burns stands first.
  assert.match(first, /A wire gets hotter than it stands, and no fuse ends that in time: 4 mistakes\s+Wire W1 is worn through and touches the body\./);
  assert.match(first, /Nobody would notice: \d+ mistakes/);
  assert.doesNotMatch(first, /Wire W5 is broken/, "what is less grave is opened when it is wanted");

  await app.page.select(`${PLACE} select[name=order]`, "thing");
  await app.pressButton("Try again", PLACE);
  await app.page.waitForFunction(() => [...document.querySelectorAll("summary")].some((one) => one.textContent.startsWith("Wire W5")));
  // By keyboard: the group opens, and an entry leads to its place.
  await app.page.evaluate(() => [...document.querySelectorAll("summary")].find((one) => one.textContent.startsWith("Wire W5")).focus());
  await app.page.keyboard.press("Enter");
  await app.page.waitForFunction(() => document.querySelector('[data-report="mistakes"]').innerText.includes("Wire W5 is broken, or off its terminal at one end."));
  await app.page.keyboard.press("Tab");
  await app.page.keyboard.press("Enter");
  await app.page.waitForSelector("#drawing .under .picked");
}

async function told(app) {
  await app.page.waitForFunction(() => /mistakes tried in/.test(document.querySelector('[data-report="mistakes"]')?.innerText ?? ""));
  return app.page.$eval('[data-report="mistakes"]', (place) => place.innerText);
}
