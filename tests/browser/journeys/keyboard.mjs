import assert from "node:assert/strict";
import { App, amps } from "../app.mjs";

export const name = "by keyboard alone, from an empty job to lamps that burn";

/** Why it is not tried in Firefox. */
export const onlyChromium = "in Firefox the Tab key leads on into its own bars, which cannot be driven";

const DESKTOP = { width: 1280, height: 900 };

export async function run({ page, address }) {
  const app = await App.open(page, address, DESKTOP);
  const keys = new Keys(app);

  // Places are steps from the middle of what is seen. The fuse is left out.
  const battery = await keys.put("battery", -17, -15);
  const donor = await keys.put("donor", -6, -15);
  const knob = await keys.put("switch", -6, -6);
  const relay = await keys.put("relay", -6, 4);
  const left = await keys.put("lamp", 8, 12);
  const right = await keys.put("lamp", 17, 12);
  const earths = [];
  for (const [x, y] of [[-6, 12], [8, 18], [17, 18]]) {
    earths.push(await keys.put("earth", x, y));
  }
  assert.equal((await app.job()).parts.length, 9);

  // Wires from the list of terminals, and by the letter W on the drawing; sizes at once.
  const give = (metres) => async () => {
    await keys.choose("Size", "2.5 mm²");
    await keys.fill("Length, one way", metres);
  };
  await keys.wireFromList([battery, "+"], [relay, "30"]);
  await give("1.5")();
  for (const [from, to] of [
    [[donor, "feed"], [knob, "in"]],
    [[knob, "out"], [relay, "86"]],
    [[relay, "85"], [earths[0], "1"]],
    [[relay, "87"], [left, "1"]],
    [[relay, "87"], [right, "1"]],
    [[left, "2"], [earths[1], "1"]],
    [[right, "2"], [earths[2], "1"]],
  ]) {
    await keys.wireByLetter(from, to);
    await give("1.5")();
  }
  for (const lamp of [left, right]) {
    await keys.details(lamp);
    await keys.fill("Rated power", "55");
  }

  // The finding leads to the wire; it gives way to a fuse and two wires.
  await keys.press("Checks");
  await app.answered();
  const [unfused, ...others] = await app.findings();
  assert.match(`${unfused.word}: ${unfused.message}`, /^Stop 1: Battery G1 feeds wire W1 without a fuse/);
  assert.deepEqual(others, []);
  await keys.press("Show where");
  await keys.press("Delete");
  const fuse = await keys.put("fuse", 4, -14);
  await keys.details(fuse);
  await keys.fill("Rated current", "15");
  await keys.wireByLetter([battery, "+"], [fuse, "1"]);
  await give("0.15")();
  await keys.wireByLetter([fuse, "2"], [relay, "30"]);
  await give("1.5")();
  assert.deepEqual(await app.findings(), []);

  // Donor and switch are worked by the letter P.
  const before = await app.jobText();
  for (const part of [donor, knob]) {
    await keys.goTo(part);
    await keys.key("p");
  }
  for (const lamp of [left, right]) {
    await keys.details(lamp);
    const reading = await app.reading();
    assert.ok(amps(reading) > 4 && amps(reading) < 5, `lamp ${lamp}: ${reading}`);
    assert.match(await app.text(".current-path"), /battery.*fuse.*relay.*earth/is);
  }
  assert.equal(await app.jobText(), before, "working switches changes nothing");
}

/** A person who has only keys. Nothing here gives the focus to anything by itself. */
class Keys {
  constructor(app) {
    this.app = app;
    this.page = app.page;
  }

  /** Presses keys one after the other, as in `Shift+Tab`; the focus is never lost. */
  async key(...all) {
    for (const strokes of all) {
      const names = strokes.split("+");
      const held = names.slice(0, -1);
      for (const name of held) {
        await this.page.keyboard.down(name);
      }
      await this.page.keyboard.press(names.at(-1));
      for (const name of held) {
        await this.page.keyboard.up(name);
      }
    }
    await this.app.frames();
  }

  /** Presses Enter on what has the focus; afterwards something still has it. */
  async enter() {
    const before = await this.focused();
    await this.key("Enter");
    assert.notEqual((await this.focused()).tag, "BODY", `the focus is lost after Enter on ${JSON.stringify(before)}`);
  }

  /** What has the focus. */
  async focused() {
    return this.page.evaluate(() => {
      const element = document.activeElement;
      return {
        tag: element.tagName,
        id: element.id,
        text: element.textContent.trim(),
        label: element.getAttribute("aria-label") ?? "",
        kind: element.getAttribute("data-kind"),
        terminal: element.getAttribute("data-terminal"),
        part: element.getAttribute("data-id")?.split(".")[1] ?? null,
        drawing: element.closest("#drawing") !== null,
        field: element.closest(".field")?.querySelector(".caption").textContent ?? null,
        unit: element.classList.contains("unit"),
      };
    });
  }

  /** Goes on by Tab until the focus is on something that `matches`; past the end the page begins again. */
  async tabTo(what, matches) {
    for (let i = 0; i < 200; i += 1) {
      if (matches(await this.focused())) {
        return;
      }
      await this.page.keyboard.press("Tab");
    }
    assert.fail(`Tab never comes to ${what}`);
  }

  /** Presses the button that says `caption`. */
  async press(caption) {
    await this.tabTo(`“${caption}”`, ({ tag, text }) => tag === "BUTTON" && text.startsWith(caption));
    await this.enter();
  }

  /** Puts a part so many steps right of and below the middle of what is seen. */
  async put(kind, right, down) {
    const before = new Set((await this.app.symbols()).map(({ part }) => part));
    await this.tabTo(kind, (focused) => focused.kind === kind);
    await this.enter();
    const now = await this.focused();
    assert.ok(now.drawing, `the tray hands on to the drawing, not to ${JSON.stringify(now)}`);
    for (const [steps, back, on] of [
      [right, "ArrowLeft", "ArrowRight"],
      [down, "ArrowUp", "ArrowDown"],
    ]) {
      const arrow = steps < 0 ? back : on;
      for (let left = Math.abs(steps); left > 0; left -= left >= 4 ? 4 : 1) {
        await this.key(left >= 4 ? `Shift+${arrow}` : arrow);
      }
    }
    await this.enter();
    const added = new Set((await this.app.symbols()).map(({ part }) => part).filter((part) => !before.has(part)));
    assert.equal(added.size, 1, `one ${kind} was put; the app says “${await this.app.status()}”`);
    return [...added][0];
  }

  /** Goes to a part on the drawing by the arrows: towards it, and another way where that has led elsewhere before. */
  async goTo(part) {
    await this.tabTo("the drawing", ({ drawing }) => drawing);
    const tried = new Map();
    for (let i = 0; i < 60; i += 1) {
      const { part: here } = await this.focused();
      if (here === part) {
        return;
      }
      const symbols = await this.app.symbols();
      const middle = (wanted) => symbols.find((symbol) => symbol.part === wanted)?.middle ?? [0, 0];
      const [[x, y], [toX, toY]] = [middle(here), middle(part)];
      const ways = [
        ["ArrowRight", toX - x],
        ["ArrowLeft", x - toX],
        ["ArrowDown", toY - y],
        ["ArrowUp", y - toY],
      ];
      const times = ([arrow]) => tried.get(`${here} ${arrow}`) ?? 0;
      ways.sort((one, other) => times(one) - times(other) || other[1] - one[1]);
      const [[arrow]] = ways;
      tried.set(`${here} ${arrow}`, times([arrow]) + 1);
      await this.key(arrow);
    }
    assert.fail(`the arrows do not come to ${part}`);
  }

  /** Opens the details of a part. */
  async details(part) {
    await this.goTo(part);
    await this.enter();
    assert.equal((await this.focused()).id, "drawer-title");
  }

  /** A wire from one terminal to another, by the buttons of the list of terminals. */
  async wireFromList([fromPart, from], [toPart, to]) {
    for (const [part, terminal] of [[fromPart, from], [toPart, to]]) {
      await this.details(part);
      await this.tabTo(`terminal ${terminal}`, (focused) => focused.terminal === terminal);
      await this.enter();
    }
    assert.match(await this.app.status(), /^W\d+ added/);
  }

  /** The same by the letter W on each part, and an answer where the part has several terminals. */
  async wireByLetter([fromPart, from], [toPart, to]) {
    for (const [part, terminal] of [[fromPart, from], [toPart, to]]) {
      await this.goTo(part);
      await this.key("w");
      if (await this.page.$(".question")) {
        await this.tabTo(`terminal ${terminal}`, ({ id, text }) => id.startsWith("answer") && text.split(/[:,]/)[1] === terminal);
        await this.enter();
      }
    }
    assert.match(await this.app.status(), /^W\d+ added/);
  }

  /** Enters a text into a field of the details. */
  async fill(caption, text) {
    await this.tabTo(`the field “${caption}”`, ({ tag, field }) => tag === "INPUT" && field === caption);
    await this.key("Control+a");
    await this.page.keyboard.type(text);
    await this.enter();
    assert.equal(await this.app.shown(caption), text);
  }

  /** Chooses from a list of the details, by typing what it says. */
  async choose(caption, shown) {
    await this.tabTo(`the list “${caption}”`, ({ tag, field, unit }) => tag === "SELECT" && !unit && field === caption);
    await this.page.keyboard.type(shown);
    await this.key("Tab");
    const chosen = await this.page.evaluate(
      (caption) => {
        const field = [...document.querySelectorAll(".drawer .field")].find((one) => one.querySelector(".caption").textContent === caption);
        return field.querySelector("select").selectedOptions[0].textContent;
      },
      caption,
    );
    assert.equal(chosen, shown);
  }
}
