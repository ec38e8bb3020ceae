import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "the page opens under its policy, says what to tap first, and shows a job with its checks and cautions";

const SVG = "http://www.w3.org/2000/svg";

export async function run({ page, address }) {
  const policies = [];
  page.on("response", (response) => {
    if (response.url() === address) {
      policies.push(response.headers()["content-security-policy"] ?? "");
    }
  });
  const app = await App.open(page, address);
  assert.match(policies[0], /default-src 'none'/);

  // Nothing is drawn yet, so the page says how to begin.
  assert.equal((await app.symbols()).length, 0);
  const welcome = await app.text(".welcome");
  for (const words of ["what to tap first", "battery", "terminal", "calculated, not measured", "battery off before"]) {
    assert.ok(welcome.includes(words), `the first page does not say “${words}”`);
  }
  await app.pressButton("Begin from a ready circuit", ".welcome");
  await page.waitForSelector("dialog[open]");
  for (const heading of ["Begin from a ready circuit", "On this device", "Demonstration jobs"]) {
    assert.ok((await app.text("dialog[open]")).includes(heading), heading);
  }
  const starts = await page.$$eval("dialog[open] .choices", (groups) => groups.map((group) => group.querySelectorAll("button").length));
  assert.ok(starts.every((n) => n > 0), `no group of choices is empty: ${starts}`);
  await app.pressButton("Close", "dialog");

  // A job with mistakes, drawn whole.
  await app.openListed("Accessory wiring as found, to be judged before purchase");
  const drawn = await page.$$eval("#drawing, #drawing *", (elements) =>
    elements.map((element) => [element.namespaceURI, element.tagName]),
  );
  assert.ok(drawn.length > 300, `a whole circuit is drawn, not ${drawn.length} elements`);
  assert.deepEqual(drawn.filter(([namespace]) => namespace !== SVG), []);
  assert.equal(await app.text("h1"), "Accessory wiring as found, to be judged before purchase");

  // Each finding has its shape, its word, its subject and what to do.
  await app.side("Checks");
  const findings = await page.$$eval(".finding", (entries) =>
    entries.map((entry) => ({
      word: entry.querySelector(".severity").textContent.trim(),
      shape: entry.querySelector(".mark path").getAttribute("d"),
      subject: entry.querySelector(".subject").textContent,
      message: entry.querySelector(".message").textContent,
      help: entry.querySelector(".help").textContent,
    })),
  );
  assert.ok(findings.length >= 10, `${findings.length} findings`);
  findings.forEach((finding, index) => {
    assert.match(finding.word, new RegExp(`^(Stop|Look|Note) ${index + 1}$`));
    for (const [key, value] of Object.entries(finding)) {
      assert.notEqual(value.trim(), "", `${key} of finding ${index + 1}`);
    }
  });
  const shapes = new Map(findings.map((finding) => [finding.word.split(" ")[0], finding.shape]));
  assert.equal(new Set(shapes.values()).size, shapes.size, "each severity has a shape of its own");
  const count = (word) => findings.filter((finding) => finding.word.startsWith(word)).length;
  assert.equal(await app.text(".counts"), ["Stop", "Look", "Note"].map((word) => `${count(word)} ${word}`).join(" · "));
  // All of them are listed, those of each severity under a heading that counts them.
  const headings = await page.$$eval(".severity-section h3", (all) => all.map((heading) => heading.textContent));
  const meant = { Stop: "dangerous or will not work", Look: "outside good practice", Note: "advice" };
  const heading = ([word, meaning]) => `${word} (${count(word)}): ${meaning}`;
  assert.deepEqual(headings, Object.entries(meant).filter(([word]) => count(word) > 0).map(heading));
  const rest = findings.length - count("Stop");
  assert.equal(await app.text(".tabs .worst"), `${count("Stop")} Stop${rest ? ` + ${rest}` : ""}`);

  // They are marked on the drawing by the same word and number.
  const marks = Object.entries(await app.marks()).filter(([id]) => id.startsWith("finding."));
  assert.ok(marks.length > 0 && marks.length <= findings.length, `${marks.length} of ${findings.length} findings are marked`);
  for (const [id, words] of marks) {
    assert.equal(words, findings[Number(id.split(".")[1]) - 1].word);
  }

  // A tap on a finding shows where it is, and its manual opens in place.
  await app.pressButton("Show where", "#finding-1");
  await page.waitForSelector("#drawing .under .picked");
  await app.side("Checks");
  await app.press("#finding-1 summary");
  await page.waitForSelector("#finding-1 .manual");
  assert.match(await app.text("#finding-1 .manual"), /What to do/);

  await app.side("Job");
  const cautions = await app.text(".cautions");
  for (const words of ["battery off first", "fire", "calculated, not measured", "qualified person", "airbag", "main beam"]) {
    assert.ok(cautions.includes(words), words);
  }
  assert.equal(await page.$eval("#stopped", (element) => element.hidden), true);
}
