// Drives the app as a person does: real touches, clicks and keys at the places where things are seen.
//
// Nothing here reaches into the module. Places on the drawing come from what the page shows (the view
// group's matrix, the shapes of symbols and their terminal names); the job as text comes from where
// the app itself keeps it.
import assert from "node:assert/strict";
import { WholeJobs } from "./jobs.mjs";

/** How a terminal's name is written beside it, where that differs. */
const WRITTEN = { "-": "−" };

/** A tablet held upright, with fingers. */
export const TABLET = { width: 820, height: 1180, hasTouch: true, isMobile: true };

export { pause } from "./jobs.mjs";

/** The protocol of Chromium, where the page is in Chromium. */
async function protocol(page) {
  return page.browser().protocol === "cdp" ? page.createCDPSession() : null;
}

export class App extends WholeJobs {
  /** Opens the app in `page` and waits until it can be used. */
  static async open(page, address, viewport = TABLET) {
    await page.setViewport(viewport);
    const app = new App(page, await protocol(page));
    // A picker of the system cannot be driven; without one the app downloads.
    await page.evaluateOnNewDocument(() => delete window.showSaveFilePicker);
    await page.goto(address);
    await app.ready();
    return app;
  }

  async ready() {
    await this.page.waitForFunction(() => performance.getEntriesByName("ready").length > 0);
    await this.page.waitForSelector("#drawing");
    // The details come with the second half of the program.
    await this.page.waitForSelector("#drawer-title");
    await this.frames();
  }

  /** Waits until readings and findings belong to what is drawn. */
  async answered() {
    await this.frames();
    await this.page.waitForSelector("#drawing:not(.stale):not(.unchecked)");
    await this.frames();
  }

  // Things to press outside of the drawing.

  /** Taps what `find` gives, an element handle or a selector, after looking that nothing covers it. */
  async press(find) {
    const handle = typeof find === "string" ? await this.page.waitForSelector(find) : find;
    const place = await handle.evaluate((element) => {
      element.scrollIntoView({ block: "center" });
      const { left, top, width, height } = element.getBoundingClientRect();
      const [x, y] = [left + width / 2, top + height / 2];
      const met = document.elementFromPoint(x, y);
      const covered = width === 0 || !met || (met !== element && !element.contains(met));
      const name = (one) => `<${one?.tagName} ${one?.className?.baseVal ?? one?.className}> ${one?.textContent?.slice(0, 40)}`;
      // A finger in a field for numbers brings their keys.
      const isNumber = element.inputMode === "decimal" && element !== document.activeElement;
      return { x, y, isNumber, covered: covered ? `${name(element)} is covered by ${name(met)}` : "" };
    });
    assert.equal(place.covered, "");
    await this.tap([place.x, place.y]);
    if (place.isNumber) {
      await this.page.waitForSelector(".pad");
      await this.frames();
    }
  }

  /** The button that says `caption`, within `inside`. */
  async button(caption, inside = "body") {
    const handle = await this.page.evaluateHandle(
      (caption, inside) => {
        const shown = (element) => element.getClientRects().length > 0;
        const says = (button) => [button.textContent.trim(), button.getAttribute("aria-label")].includes(caption);
        const places = [...document.querySelectorAll(inside)];
        return places.flatMap((place) => [...place.querySelectorAll("button")]).find((one) => shown(one) && says(one)) ?? null;
      },
      caption,
      inside,
    );
    const element = handle.asElement();
    assert.ok(element, `there is no button “${caption}” in ${inside}`);
    return element;
  }

  async pressButton(caption, inside) {
    await this.press(await this.button(caption, inside));
  }

  /** Takes a tool in hand: Draw, Run wire or Try. */
  async tool(name) {
    await this.pressButton(name, ".modes");
  }

  /** Turns the drawer to a side, opened where it can be closed. */
  async side(name) {
    const [shown, closed] = await this.page.evaluate((name) => {
      const tabs = [...document.querySelectorAll(".tabs button")];
      const shown = tabs.find((tab) => tab.getAttribute("aria-pressed") === "true");
      const content = document.querySelector(".drawer-content");
      return [shown?.textContent.startsWith(name) ?? false, content.getClientRects().length === 0];
    }, name);
    if (!shown || closed) {
      await this.press(await this.tab(name));
      await this.page.waitForFunction(() => document.querySelector(".drawer-content").getClientRects().length > 0);
      await this.frames();
    }
  }

  /** Opens everything in the drawer that opens in place, and waits until it is told. */
  async openReports() {
    await this.page.$$eval(".drawer-content > details > summary", (all) => all.forEach((one) => one.parentElement.open || one.click()));
    await this.page.waitForFunction(
      () => [...document.querySelectorAll(".drawer [data-report]")].every((one) => one.closest("details:not([open])") || (one.childElementCount > 0 && !one.querySelector("progress"))),
      { timeout: 60000 },
    );
    await this.frames();
  }

  async tab(name) {
    const handle = await this.page.evaluateHandle(
      (name) => [...document.querySelectorAll(".tabs button")].find((tab) => tab.textContent.startsWith(name)) ?? null,
      name,
    );
    assert.ok(handle.asElement(), `the drawer has no side “${name}”`);
    return handle.asElement();
  }

  /** Closes the drawer where it lies over the drawing. */
  async closeDrawer() {
    const open = await this.page.$(".drawer.half, .drawer.full");
    const tabs = await this.page.$eval(".tabs .stop", (stop) => stop.getClientRects().length > 0);
    if (open && tabs) {
      await this.press('.tabs button[aria-pressed="true"]');
    }
  }

  // The drawing.

  /** The view: pixels a millimetre, and where the drawing's origin is seen in the window. */
  async view() {
    return this.page.$eval("#worktop", (worktop) => {
      const { left, top, width, height } = worktop.getBoundingClientRect();
      const { a: scale, e: x, f: y } = worktop.querySelector("#layer-view").getScreenCTM();
      return { scale, x, y, left, top, width, height };
    });
  }

  /** Where a point of the drawing, in millimetres, is seen. */
  async at([x, y]) {
    const view = await this.view();
    return [view.x + x * view.scale, view.y + y * view.scale];
  }

  /** The place in the window that lies at these parts of the drawing's width and height. */
  async spot([right, down]) {
    return this.page.$eval(
      "#worktop",
      (worktop, right, down) => {
        const { left, top, width, height } = worktop.getBoundingClientRect();
        return [left + right * width, top + down * height];
      },
      right,
      down,
    );
  }

  /** Every symbol: its id, its part, its words, and its middle in the window. */
  async symbols() {
    return this.page.$$eval("#drawing .scene > .symbol", (symbols) =>
      symbols.map((symbol) => {
        const { left, top, width, height } = symbol.getBoundingClientRect();
        const id = symbol.getAttribute("data-id");
        const [, part, view] = id.split(".");
        return { id, part, view, words: symbol.getAttribute("aria-label"), middle: [left + width / 2, top + height / 2] };
      }),
    );
  }

  /**
   * Where the ring of a terminal is seen: the one beside which its name is written on the symbol.
   * Rings are shown at every terminal while a wire is run, else at those without a wire.
   */
  async terminal(part, name) {
    const found = await this.page.evaluate(
      (part, name) => {
        const rings = [...document.querySelectorAll("#drawing .over circle")].map((ring) => {
          const { left, top, width, height } = ring.getBoundingClientRect();
          return [left + width / 2, top + height / 2];
        });
        const scale = document.getElementById("layer-view").getScreenCTM().a;
        const all = (what) => [...document.querySelectorAll(`#drawing .scene > [data-id^="${what}.${part}."]`)];
        const names = all("terminal").filter((text) => text.textContent.trim() === name);
        // A part with a single terminal does not name it.
        const places = names.length > 0 ? names : all("symbol").slice(0, 1);
        let best = null;
        for (const place of places) {
          const box = place.getBoundingClientRect();
          for (const [x, y] of rings) {
            const dx = Math.max(box.left - x, 0, x - box.right);
            const dy = Math.max(box.top - y, 0, y - box.bottom);
            const far = Math.hypot(dx, dy) / scale;
            if (far < 3.5 && (best === null || far < best.far)) {
              best = { far, at: [x, y] };
            }
          }
        }
        return best?.at ?? null;
      },
      part,
      WRITTEN[name] ?? name,
    );
    assert.ok(found, `${part}:${name} has no ring on the drawing`);
    return found;
  }

  /** Where a wire is seen, `along` of its way from its start. */
  async onWire(wire, along = 0.5) {
    const at = await this.page.evaluate(
      (wire, along) => {
        const group = document.querySelector(`#drawing .scene > [data-id="wire.${wire}"]`);
        const line = group?.querySelector("polyline, line, path");
        if (!line) {
          return null;
        }
        const { x, y } = line.getPointAtLength(along * line.getTotalLength()).matrixTransform(line.getScreenCTM());
        return [x, y];
      },
      wire,
      along,
    );
    assert.ok(at, `wire ${wire} is not drawn`);
    return at;
  }

  /** Chooses a kind in the tray and taps where it shall stand, as `find` tells; the id of the new part. */
  async put(kind, find) {
    const before = new Set((await this.symbols()).map((symbol) => symbol.part));
    if (!(await this.page.$eval("#tray", (tray) => tray.getClientRects().length > 0))) {
      await this.pressButton("Parts", ".tools");
    }
    await this.press(`button[data-kind="${kind}"]`);
    await this.tapOn(find);
    const added = (await this.symbols()).map((symbol) => symbol.part).filter((part) => !before.has(part));
    assert.equal(new Set(added).size, 1, `one ${kind} was put; the app says “${await this.status()}”`);
    return added[0];
  }

  /** Runs a wire by two taps, from a terminal to another. */
  async wire([fromPart, from], [toPart, to]) {
    await this.tool("Run wire");
    await this.tapOn(() => this.terminal(fromPart, from));
    await this.tapOn(() => this.terminal(toPart, to));
  }

  /**
   * Taps a place on the drawing that `find` tells. When it is out of sight, the drawer is closed and
   * the whole drawing shown, as one would do by hand.
   */
  async tapOn(find) {
    for (const look of [() => {}, () => this.closeDrawer(), () => this.pressButton("Show all")]) {
      await look();
      await this.frames();
      const at = await find();
      const seen = await this.page.evaluate(
        ([x, y]) => document.getElementById("drawing").contains(document.elementFromPoint(x, y)),
        at,
      );
      if (seen) {
        return this.tap(at);
      }
    }
    assert.fail("the place cannot be brought into sight");
  }

  /** Taps a part on the drawing. */
  async tapPart(part) {
    await this.tapOn(async () => (await this.symbols()).find((symbol) => symbol.part === part).middle);
  }

  /** Selects a part by a tap on the drawing. */
  async select(part) {
    await this.tool("Draw");
    await this.tapPart(part);
  }

  /** Selects a wire by a tap on the drawing. */
  async selectWire(wire, along = 0.5) {
    await this.tool("Draw");
    await this.tapOn(() => this.onWire(wire, along));
  }

  // What the page says.

  async text(selector) {
    return this.page.$eval(selector, (element) => element.innerText.trim());
  }

  async status() {
    return this.text(".status");
  }

  /** The readings of what is selected, as the drawer shows them. */
  async reading() {
    await this.answered();
    return this.text(".drawer .reading");
  }

  /** The findings: severity, subject and message of each. */
  async findings() {
    await this.side("Checks");
    await this.answered();
    return this.page.$$eval(".finding", (entries) =>
      entries.map((entry) => ({
        word: entry.querySelector(".severity").textContent,
        subject: entry.querySelector(".subject").textContent,
        message: entry.querySelector(".message").textContent,
      })),
    );
  }

  /** Enters `text` into the field of the drawer with this caption; in `unit` where there are several. */
  async fill(caption, text, unit) {
    assert.ok(await this.page.$eval(".drawer-content", (one) => one.getClientRects().length > 0), "the drawer is open");
    const field = await this.page.evaluateHandle(
      (caption) =>
        [...document.querySelectorAll(".drawer .field")].find((one) => one.querySelector(".caption").textContent === caption) ?? null,
      caption,
    );
    assert.ok(field.asElement(), `there is no field “${caption}”`);
    const select = await field.$(":scope > select");
    if (select) {
      await choose(select, text);
    } else {
      if (unit) {
        await choose(await field.$("select.unit"), unit);
      }
      const input = await field.$("input");
      await this.press(input);
      await input.evaluate((input) => input.select());
      await this.page.keyboard.type(text);
      await this.page.keyboard.press("Enter");
    }
    await this.frames();
    assert.equal(await field.$eval(".refused", (refused) => refused.textContent), "", `${caption}: ${text}`);
  }

  /** The value that a field of the drawer shows. */
  async shown(caption) {
    return this.page.evaluate(
      (caption) =>
        [...document.querySelectorAll(".drawer .field")]
          .find((one) => one.querySelector(".caption").textContent === caption)
          ?.querySelector("input, select").value,
      caption,
    );
  }

  /** What the marks on the drawing say, by what they are about: `reading.w3`, `finding.1`. */
  async marks() {
    return this.page.$$eval("#drawing .marks > g", (marks) =>
      Object.fromEntries(marks.map((mark) => [mark.getAttribute("data-id"), mark.textContent.trim()])),
    );
  }
}

/** Chooses what a list calls `wanted`, or stores under that name. */
async function choose(select, wanted) {
  const value = await select.evaluate(
    (select, wanted) => [...select.options].find((option) => [option.value, option.textContent].includes(wanted))?.value ?? null,
    wanted,
  );
  assert.notEqual(value, null, `there is no choice “${wanted}”`);
  await select.select(value);
}

/** The first number of amperes in a text. */
export function amps(text) {
  const found = text.match(/(-?[\d.]+) (m?)A\b/);
  assert.ok(found, `there is a current in “${text}”`);
  return Number(found[1]) * (found[2] ? 0.001 : 1);
}
