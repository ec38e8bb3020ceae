import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "who listens hears every part and wire with its reading and its findings, and one line for each edit";

/** Why it is not tried in Firefox. */
export const onlyChromium = "what is told to those who listen is read by its protocol";

const JOB = "Accessory wiring as found, to be judged before purchase";

export async function run({ page, address }) {
  const app = await App.open(page, address, { width: 1280, height: 900, hasTouch: true, isMobile: true });
  await app.openListed(JOB);
  await app.keepAsItIs();
  const { situations = [] } = await app.job();
  if (situations.length > 0) {
    await app.side("Switches");
    await app.pressButton(situations.at(-1).name, ".situations");
  }
  await app.answered();
  await everything(app);
  await onceForEachEdit(app);
}

async function everything(app) {
  const { parts, wires } = await app.job();
  const { nodes } = await app.cdp.send("Accessibility.getFullAXTree");
  const heard = nodes.filter(({ ignored }) => !ignored).map(({ role, name }) => ({ role: role?.value, name: name?.value ?? "" }));
  const called = (role, words) => heard.filter((one) => role.includes(one.role) && one.name.includes(words)).map(({ name }) => name);
  for (const { label, id } of parts) {
    assert.ok(called(["button"], label ?? id).length > 0, `part ${label} is not heard`);
  }
  const ofWires = new Map();
  for (const { label, id, status } of wires) {
    const own = called(["img", "image"], `wire ${label ?? id}`).filter((name) => new RegExp(`^wire ${label ?? id}(,|$)`).test(name));
    assert.equal(own.length, 1, `wire ${label} is heard once: ${own}`);
    ofWires.set(label, own[0]);
    if (status !== "remove") {
      assert.match(own[0], /\d (m|µ)?A\b/, `wire ${label} has no reading: ${own[0]}`);
    }
  }
  // Each finding of the list of checks is heard at its thing too.
  const findings = await app.findings();
  assert.ok(findings.length > 3, "the job has findings");
  for (const { word: numbered, subject } of findings) {
    const [word] = numbered.split(" ");
    const [noun, ...title] = subject.split(" terminal ")[0].split(" ");
    const own = heard.filter(({ name }) => name.startsWith(`${noun.toLowerCase()} ${title.join(" ")}`));
    assert.ok(own.length > 0, `${subject} is not heard`);
    assert.ok(own.some(({ name }) => name.includes(`, ${word}: `)), `${word} of ${subject} is not heard: ${own.map(({ name }) => name)}`);
  }
  console.log(`    ${parts.length} parts, ${wires.length} wires, ${findings.length} findings are heard`);
}

/** What the status lines say while something is changed, each time that any of them is told anew. */
async function onceForEachEdit(app) {
  const { page } = app;
  const [wire] = (await app.job()).wires;
  await app.selectWire(wire.id);
  await app.side("Selected");
  await page.evaluate(() => {
    window.told = [];
    const texts = new Map();
    const look = () => {
      for (const one of document.querySelectorAll('[role="status"], [role="alert"], [aria-live]')) {
        const text = one.checkVisibility() ? one.textContent.trim() : "";
        if (text && text !== (texts.get(one) ?? "")) {
          window.told.push([one.className, text]);
        }
        texts.set(one, text);
      }
    };
    look();
    window.told = [];
    new MutationObserver(look).observe(document.body, { subtree: true, childList: true, characterData: true, attributes: true });
  });
  const heardBy = async (act) => {
    await page.evaluate(() => (window.told = []));
    await act();
    await app.answered();
    await app.kept();
    await new Promise((resolve) => setTimeout(resolve, 1200));
    // That it is kept is told in its own place.
    return (await page.evaluate(() => window.told)).filter(([name]) => !name.includes("kept"));
  };
  const noNumbers = (told) => told.forEach(([, text]) => assert.doesNotMatch(text, /\d (m|µ)?A\b|\d (m)?V\b/, `a reading is announced: ${text}`));
  // The thinnest wire there is brings findings; a length by a hair brings none.
  const thinnest = await page.$eval("#field-size", (select) => select.options[1].value);
  const worse = await heardBy(() => app.fill("Size", thinnest));
  assert.ok(worse.some(([, text]) => /Stop|Look/.test(text)), `a worse severity is announced: ${JSON.stringify(worse)}`);
  assert.equal(new Set(worse.map(([, text]) => text)).size, 1, `one line for one edit: ${JSON.stringify(worse)}`);
  noNumbers(worse);
  const undone = await heardBy(() => app.pressButton("Undo", ".tools"));
  assert.ok(undone.some(([, text]) => text.startsWith("Undone: ")), JSON.stringify(undone));
  noNumbers(undone);
}
