import assert from "node:assert/strict";

export const name = "the page opens under its policy and shows drawing, checks and cautions";

const SVG = "http://www.w3.org/2000/svg";

export async function run({ page, address }) {
  const response = await page.goto(address);
  assert.match(response.headers()["content-security-policy"] ?? "", /default-src 'none'/);

  // The sound job: drawn, and nothing that must stop.
  await page.waitForSelector(".sheet svg");
  const drawn = await page.$$eval(".sheet svg, .sheet svg *", (elements) =>
    elements.map((element) => [element.namespaceURI, element.tagName]),
  );
  assert.ok(drawn.length > 300, `a whole circuit is drawn, not ${drawn.length} elements`);
  assert.deepEqual(drawn.filter(([namespace]) => namespace !== SVG), []);
  assert.match(await text(page, "h1"), /\w/);
  assert.match(await text(page, ".counts"), /^0 Stop/);

  // The job with mistakes: each finding has its shape, its word, its subject and what to do.
  await page.select(".edge-job select", "1");
  await page.waitForSelector(".finding-stop");
  const findings = await page.$$eval(".finding", (entries) =>
    entries.map((entry) => ({
      word: entry.querySelector(".severity").textContent,
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
  const marks = await page.$$eval('.sheet svg [id^="finding."]', (elements) => elements.length);
  assert.ok(marks > 0 && marks <= findings.length, `${marks} of ${findings.length} findings are marked in the drawing`);

  // The manual of a check opens in place.
  await page.click(".finding summary");
  assert.match(await text(page, ".finding .manual"), /What to do/);

  const cautions = await text(page, ".cautions");
  for (const words of ["battery off first", "fire", "calculated, not measured", "qualified person", "airbag", "main beam"]) {
    assert.ok(cautions.includes(words), words);
  }
  assert.equal(await page.$eval("#stopped", (element) => element.hidden), true);
}

async function text(page, selector) {
  return page.$eval(selector, (element) => element.textContent);
}
