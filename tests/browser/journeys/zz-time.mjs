import { App } from "../app.mjs";
export const name = "time";
const P="[data-report=walk]";
export async function run({ newPage, address }) {
  const page = await newPage();
  const app = await App.open(page, address, {width:1280,height:900});
  await app.openListed("Night loading lamps and bed electrics");
  await app.side("Prove");
  await page.waitForSelector(".survey:not(.asked) [data-ask]");
  await page.evaluate(() => { for (const s of document.querySelectorAll("summary")) { if (s.textContent === "Find a fault") s.click(); } });
  await page.waitForSelector(`${P}:not(.asked) [data-ask]`);
  const start = Date.now();
  await app.pressButton("Stays dark or dead", P);
  await page.waitForSelector(`${P}:not(.asked) .working h4`);
  console.log("first card", Date.now() - start);
  for (let i = 1; i < 4; i++) {
  const t = Date.now();
  await app.pressButton("Can't reach", P);
  await page.waitForFunction((P,i) => document.querySelector(`${P}:not(.asked) .working h4`)?.innerText !== `Reading ${i}`, {}, P, i);
  console.log("next", Date.now() - t);
  }
}
