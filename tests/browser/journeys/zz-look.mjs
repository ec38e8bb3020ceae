import { App } from "../app.mjs";
export const name = "look";
const P="[data-report=walk]";
export async function run({ newPage, address }) {
  for (const [n, size] of [["phone",{width:390,height:844,hasTouch:true,isMobile:true}],["tablet",{width:820,height:1180,hasTouch:true,isMobile:true}],["desk",{width:1280,height:900}]]) {
  const page = await newPage();
  const app = await App.open(page, address, size);
  await app.openListed("Driving lamps that stay dark on main beam");
  await app.keepAsItIs();
  await app.side("Prove");
  await page.waitForSelector(".survey:not(.asked) [data-ask]");
  await page.evaluate(() => { for (const s of document.querySelectorAll("summary")) { if (s.textContent === "Survey the donor") s.click(); if (s.textContent === "Find a fault") s.click(); } });
  await page.waitForSelector(`${P}:not(.asked) [data-ask]`);
  await page.screenshot({ path: `/tmp/lw/w-${n}-0.png` });
  await page.select(`${P} select[name=when]`, "2");
  await page.select(`${P} select[name=load]`, "2");
  await app.pressButton("Stays dark or dead", P);
  await page.waitForSelector(`${P}:not(.asked) .working h4`);
  await new Promise((r) => setTimeout(r, 800));
  await page.screenshot({ path: `/tmp/lw/w-${n}-1.png` });
  await app.pressButton("Can't reach", P);
  await new Promise((r) => setTimeout(r, 1500));
  await page.screenshot({ path: `/tmp/lw/w-${n}-2.png` });
  await page.evaluate((P) => document.querySelector(P).scrollIntoView(), P);
  await new Promise((r) => setTimeout(r, 300));
  await page.screenshot({ path: `/tmp/lw/w-${n}-3.png` });
  }
}
