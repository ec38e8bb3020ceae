import assert from "node:assert/strict";
import { readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { App, TABLET } from "../app.mjs";
import { pages } from "../pdf.mjs";
import { made, unfold } from "./handover.mjs";

export const name = "the workshop card stands in the title block, and own parts are saved, put and listed with their price";

export async function run({ page, address, downloads }) {
  const app = await App.open(page, address, TABLET);

  // The card is filled in, and is there after a reload.
  await openPage(app);
  await fill(page, { name: "Heather Lane Vehicle Wiring", address1: "Yard 3", contact: "Bell at the gate", drawn_by: "Bench 2", next_number: "2026-041", slack_percent: "8" });
  const drawing = join(downloads, "picture.svg");
  await writeFile(drawing, `<svg xmlns="http://www.w3.org/2000/svg" width="1200" height="400"/>`);
  await app.choose(drawing, () => app.pressButton("Choose a picture", ".card-form"));
  await page.waitForFunction(() => /choose a PNG or a JPEG/.test(document.querySelector(".card-form [role=status]").textContent));
  const picture = join(downloads, "picture.png");
  await writeFile(picture, Buffer.from(await page.evaluate(large), "base64"));
  await app.choose(picture, () => app.pressButton("Choose a picture", ".card-form"));
  await page.waitForSelector(".card-picture img:not([hidden])");
  const sides = await page.$eval(".card-picture img", (image) => image.decode().then(() => [image.naturalWidth, image.naturalHeight]));
  assert.deepEqual(sides, [600, 200], "it is drawn smaller");
  await page.reload();
  await app.ready();
  await openPage(app);
  assert.equal(await value(page, "name"), "Heather Lane Vehicle Wiring");
  assert.equal(await value(page, "slack_percent"), "8");
  await fill(page, { slack_percent: "much" });
  assert.match(await app.text(".card-form [role=status]"), /much/, "what cannot be read is told");
  await fill(page, { slack_percent: "8" });
  await app.pressButton("Close", "dialog.workshop");

  // A new job takes its number, and the next one counts on.
  await app.openJobs();
  await app.pressButton("Empty job", "dialog.shelf");
  await page.waitForFunction(() => !document.querySelector("dialog[open]"));
  await page.waitForFunction(() => [...document.querySelectorAll(".tools button")].some((one) => one.textContent === "Undo" && !one.disabled));
  const lamp = await app.put("lamp", () => app.spot([0.4, 0.4]));
  const job = await app.job();
  assert.equal(job.card.number, "2026-041");
  assert.equal(job.card.drawn_by, "Bench 2");
  assert.equal(job.settings.slack_percent, 8);

  // So does one that begins from a ready circuit, which keeps its settings and its title; a demonstration does not.
  await app.openJobs();
  await app.press("dialog.shelf [data-carried=demonstrations] button");
  await app.noDialog();
  await app.openJobs();
  await app.press("dialog.shelf [data-carried=starts] button");
  await app.noDialog();
  await page.waitForFunction(() => [...document.querySelectorAll(".tools button")].some((one) => one.textContent === "Undo" && !one.disabled));
  await app.kept();
  const { card, settings } = await app.job();
  assert.deepEqual([card.number, card.drawn_by, settings.slack_percent], ["2026-042", "Bench 2", undefined]);
  assert.ok(card.title.length > 0);
  await app.openJobs();
  await app.press(`dialog.shelf li.job:not([data-id="${await app.jobId()}"]) [data-do=open]`);
  await app.noDialog();

  // A part is saved with its price, and put again.
  await app.select(lamp);
  await app.side("Selected");
  await app.fill("Rated power", "21");
  await app.pressButton("My parts", ".drawer");
  await page.waitForSelector("dialog.my-part [name=name]");
  await fill(page, { name: "Work lamp", order: "HL-L21", price: "12.50 EUR" }, "dialog.my-part");
  await app.pressButton("Save to my parts", "dialog.my-part");
  await page.waitForFunction(() => document.querySelector("dialog.my-part [role=status]").textContent === "Saved to your parts.");
  await app.pressButton("Close", "dialog.my-part");
  await openPage(app);
  assert.equal(await value(page, "next_number"), "2026-043");
  await app.press(".my-parts summary");
  await app.pressButton("Put it on the drawing", ".my-parts");
  await page.waitForFunction(() => document.querySelector(".my-parts > [role=status]").textContent.includes("on the drawing"));
  await app.pressButton("Close", "dialog.workshop");
  const lamps = (await app.job()).parts.filter(({ kind }) => kind === "lamp");
  assert.equal(lamps.length, 2);
  assert.deepEqual(lamps[0].values, lamps[1].values, "it is put with its values");

  // Handed over, the card stands in the title block, on paper and in the PDF.
  await app.pressButton("Handover", ".edge-buttons");
  await made(app);
  const first = () => page.$eval(".handover-leaf svg", (svg) => svg.textContent);
  assert.match(await first(), /Heather Lane Vehicle Wiring/);
  assert.equal(await page.$$eval(".handover-leaf image", (all) => all.length), 1);
  await unfold(app);
  await app.press('label:has([name="handover-prices"])');
  await made(app);
  await app.pressButton("Save PDF", ".handover-do");
  const text = (await pages(await readFile(await app.arrived(downloads, ".pdf")))).map((one) => one.text).join(" ");
  for (const wanted of ["HeatherLaneVehicleWiring", "Yard3", "Bellatthegate", "2026-041", "HL-L21", "12.50EUR"]) {
    assert.ok(text.includes(wanted), `${wanted} in the PDF`);
  }
  await app.pressButton("Close", ".handover-head");

  // A file takes both to another device.
  await openPage(app);
  await app.pressButton("Save card and parts as a file", "dialog.workshop");
  const file = await app.arrived(downloads, ".json");
  const saved = JSON.parse(await readFile(file, "utf8"));
  assert.equal(saved.parts[0].order, "HL-L21");
  await forgotten(app);
  await openPage(app);
  assert.equal(await value(page, "name"), "");
  // Files whose names begin with a number are not taken for downloads.
  const broken = join(downloads, "0-broken-file.json");
  await writeFile(broken, JSON.stringify({ ...saved, card: { nmae: "x" } }));
  await app.choose(broken, () => app.pressButton("Open one", "dialog.workshop"));
  await page.waitForFunction(() => /card\.nmae/.test(document.querySelector("dialog.workshop").textContent));
  assert.equal(await value(page, "name"), "", "what is refused changes nothing");
  await app.choose(file, () => app.pressButton("Open one", "dialog.workshop"));
  await page.waitForFunction(() => document.querySelector(".card-form [name=name]").value !== "");
  assert.equal(await value(page, "name"), "Heather Lane Vehicle Wiring");
  assert.equal(await page.$$eval(".my-parts [data-own]", (all) => all.length), 1);

  // What is no text is not taken for one; and what another file has taken the place of can be brought back.
  const bytes = join(downloads, "0-bytes.json");
  await writeFile(bytes, Buffer.from([0x7b, 0xe9, 0x7d]));
  await app.choose(bytes, () => app.pressButton("Open one", "dialog.workshop"));
  await page.waitForFunction(() => /bytes\.json is not UTF-8 text/.test(document.querySelector("dialog.workshop").textContent));
  const empty = join(downloads, "0-empty.json");
  await writeFile(empty, JSON.stringify({ format: saved.format, version: saved.version }));
  await app.choose(empty, () => app.pressButton("Open one", "dialog.workshop"));
  await page.waitForFunction(() => document.querySelector(".card-form [name=name]").value === "");
  await app.pressButton("Bring back what was kept", "dialog.workshop");
  await page.waitForFunction(() => document.querySelector(".card-form [name=name]").value !== "");
  assert.equal(await value(page, "name"), "Heather Lane Vehicle Wiring");
  assert.equal(await page.$$eval(".my-parts [data-own]", (all) => all.length), 1);
  await app.pressButton("Close", "dialog.workshop");
  await withAllJobs(app, downloads, saved);
}

/** They go with all jobs in one file, and are taken from it where the device has none of its own. */
async function withAllJobs(app, downloads, saved) {
  await app.openJobs();
  await app.pressButton("Save everything", "dialog.shelf");
  const all = await app.arrived(downloads, ".json");
  const file = JSON.parse(await readFile(all, "utf8"));
  assert.deepEqual(file.workshop, saved);
  await app.pressButton("Close", "dialog.shelf");

  await app.openFile(all);
  await app.shelfTells(/added\.\s*$/);
  await app.pressButton("Close", "dialog.shelf");
  const other = join(downloads, "0-other.json");
  await writeFile(other, JSON.stringify({ ...file, workshop: { ...saved, parts: [] } }));
  await app.openFile(other);
  await app.shelfTells(/left out, because this device has its own/);

  await forgotten(app);
  await writeFile(other, JSON.stringify({ ...file, workshop: { ...saved, card: { nmae: "x" } } }));
  await app.openFile(other);
  await app.shelfTells(/were left out:\s+card\.nmae/);
  await app.pressButton("Close", "dialog.shelf");
  await app.openFile(all);
  await app.shelfTells(/workshop card and parts are kept here now/);
  await app.pressButton("Close", "dialog.shelf");
  await openPage(app);
  assert.equal(await value(app.page, "name"), saved.card.name);
  assert.equal(await app.page.$$eval(".my-parts [data-own]", (own) => own.length), 1);
}

/** A device on which no card and no parts are kept. */
async function forgotten(app) {
  const { page } = app;
  await page.evaluate(async () => {
    const open = indexedDB.open("loomwright");
    const store = await new Promise((resolve) => (open.onsuccess = () => resolve(open.result)));
    const transaction = store.transaction("workshop", "readwrite");
    transaction.objectStore("workshop").clear();
    await new Promise((resolve) => (transaction.oncomplete = resolve));
    store.close();
  });
  await page.reload();
  await app.ready();
}

/** Runs in the page: a picture that is larger than it is kept, as a PNG in base64. */
function large() {
  const canvas = Object.assign(document.createElement("canvas"), { width: 1200, height: 400 });
  const pen = canvas.getContext("2d");
  pen.fillStyle = "#8a5a14";
  pen.fillRect(0, 0, 1200, 400);
  return canvas.toDataURL("image/png").split(",")[1];
}

async function openPage(app) {
  await app.pressButton("Workshop", ".edge-buttons");
  await app.page.waitForSelector("dialog.workshop[open] .card-form [name=name]");
  await app.page.waitForSelector("dialog.workshop [data-do=save]");
}

/** Fills fields in as a user does who leaves each when it is done. */
async function fill(page, fields, inside = ".card-form") {
  for (const [name, text] of Object.entries(fields)) {
    await page.$eval(`${inside} [name="${name}"]`, (field) => {
      field.focus();
      field.select();
    });
    await page.keyboard.type(text);
    await page.evaluate(() => document.activeElement.blur());
  }
  await new Promise((resolve) => setTimeout(resolve, 800));
}

function value(page, name) {
  return page.$eval(`.card-form [name="${name}"]`, (field) => field.value);
}
