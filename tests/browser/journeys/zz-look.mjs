import { App } from "../app.mjs";
export const name = "look";
const P="[data-report=walk]";
export async function run({ newPage, address }) {
  for (const [n, size] of [["phone",{width:390,height:844,hasTouch:true,isMobile:true}],["desk",{width:1280,height:900}]]) {
  const page = await newPage();
  const app = await App.open(page, address, size);
  await app.openListed("Driving lamps that stay dark on main beam");
  await app.side("Prove");
  await page.waitForSelector(".survey:not(.asked) [data-ask]");
  await page.evaluate(() => { for (const s of document.querySelectorAll("summary")) { if (s.textContent === "Survey the donor") s.click(); if (s.textContent === "Find a fault") s.click(); } });
  await page.waitForSelector(`${P}:not(.asked) [data-ask]`);
  await page.select(`${P} select[name=when]`, "2");
  await page.select(`${P} select[name=load]`, "2");
  await app.pressButton("Stays dark or dead", P);
  await page.waitForSelector(`${P}:not(.asked) .working h4`);
  const shot = async (k) => {
    await new Promise((r) => setTimeout(r, 900));
    const h = await page.$(P);
    await h.screenshot({ path: `/tmp/lw/v-${n}-${k}.png` });
  };
  await shot(0);
  await app.pressButton("Dark", P);
  await shot(1);
  const field = await page.$(`${P} input[name=number]`);
  if (field) { await field.type("0"); await app.pressButton("Enter this reading", P); } else { await app.pressButton("Silent", P).catch(() => app.pressButton("Whole", P)); }
  await shot(2);
  for (let i = 3; i < 9; i++) {
    if (!(await page.$(`${P} [data-ask^="walk-take"]`))) break;
    const field = await page.$(`${P} input[name=number]`);
    if (field) { await field.type("0"); await app.pressButton("Enter this reading", P); } else { const b = await page.$$eval(`${P} [data-ask^="walk-take"]`, (all) => all[1].innerText); await app.pressButton(b, P); }
    await shot(i);
  }
  await page.screenshot({ path: `/tmp/lw/v-${n}-page.png` });
  }
}
