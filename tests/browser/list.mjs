// A person who works in the Wire list with keys alone. Nothing here gives the focus to anything by itself.
import assert from "node:assert/strict";

export class ListKeys {
  constructor(app) {
    Object.assign(this, { app, page: app.page });
  }

  /** Opens the list by its key, and waits until it is told. */
  async open() {
    await this.page.keyboard.press("F2");
    await this.page.waitForSelector("dialog.wires[open] .wires-now");
    await this.settled();
  }

  async close() {
    await this.page.keyboard.press("Escape");
    await this.page.waitForFunction(() => !document.querySelector("dialog[open]"));
    await this.app.frames();
  }

  /** Waits until the list has shown the job anew after what was done last. */
  async settled() {
    await this.page.waitForFunction(() => {
      const dialog = document.querySelector("dialog.wires");
      const isSame = dialog.dataset.shown === dialog.dataset.seen && !dialog.querySelector('[aria-busy="true"]');
      dialog.dataset.seen = dialog.dataset.shown;
      return isSame && dialog.dataset.shown;
    }, { polling: 100 });
    await this.app.frames();
  }

  async focused() {
    return this.page.evaluate(() => {
      const { activeElement: one } = document;
      const { name, value, tagName: tag, textContent: text, dataset } = one;
      return { name, value, tag, text: text.trim(), label: one.getAttribute("aria-label") ?? "", data: { ...dataset }, inside: Boolean(one.closest("dialog.wires")) };
    });
  }

  /** Goes on by Tab, or back, until the focus is on something that `matches`. */
  async tabTo(what, matches) {
    for (let i = 0; i < 300; i += 1) {
      if (matches(await this.focused())) {
        return;
      }
      await this.page.keyboard.press("Tab");
    }
    assert.fail(`Tab never comes to ${what}`);
  }

  /** Presses Enter on a button; something within the list has the focus afterwards. */
  async press(what, matches) {
    await this.tabTo(what, ({ tag, ...rest }) => tag === "BUTTON" && matches(rest));
    await this.page.keyboard.press("Enter");
    await this.settled();
    const { inside, tag } = await this.focused();
    assert.ok(inside, `the focus is lost after ${what}: ${tag}`);
  }

  /** Chooses from a list by typing the beginning of what it says. */
  async choose(name, text) {
    const is = (focused) => focused.tag === "SELECT" && (focused.name === name || focused.data.field === name);
    await this.tabTo(`the list ${name}`, is);
    await this.page.keyboard.type(text);
    const chosen = await this.page.evaluate(() => document.activeElement.selectedOptions[0].textContent);
    assert.ok(chosen.startsWith(text), `${name}: “${chosen}” is chosen for “${text}”`);
    await this.page.keyboard.press("Tab");
    await this.settled();
  }

  /** Types into a field of the form. */
  async fill(field, text) {
    await this.tabTo(`the field ${field}`, ({ tag, data }) => tag === "INPUT" && data.field === field);
    await this.page.keyboard.down("Control");
    await this.page.keyboard.press("a");
    await this.page.keyboard.up("Control");
    await this.page.keyboard.type(text);
    await this.page.keyboard.press("Enter");
    await this.settled();
    assert.equal((await this.focused()).data.field, field, "the focus stays in the field");
  }

  async add(kind) {
    await this.choose("kind", kind);
    await this.press("Add part", ({ text }) => text === "Add part");
    assert.match(await this.said(), / added| put into /);
  }

  async join(from, to) {
    await this.choose("from", from);
    await this.choose("to", to);
    await this.press("Add wire", ({ text }) => text === "Add wire");
    assert.match(await this.said(), /^W\d+ added/);
  }

  /** Opens the form of a thing, named as `fuse F1`. */
  async change(title) {
    await this.press(`Change ${title}`, ({ label }) => label === `Change ${title}`);
    assert.equal((await this.focused()).tag, "H3", "the form begins at its heading");
  }

  async back() {
    await this.press("Back", ({ data }) => "back" in data);
  }

  async said() {
    return this.app.text(".wires-said");
  }

  /** Takes back everything that can be. */
  async undoAll() {
    await this.tabTo("Undo", ({ data }) => data.step === "Undo");
    for (let i = 0; i < 100; i += 1) {
      if (await this.page.evaluate(() => document.activeElement.getAttribute("aria-disabled") === "true")) {
        return i;
      }
      await this.page.keyboard.press("Enter");
      await this.settled();
    }
    return assert.fail("there is no end of undoing");
  }

  /** The rows of one of the tables: what each cell says, by its column. */
  async rows(table) {
    return this.page.$$eval(`table[aria-labelledby="wires-${table}"] tbody tr`, (rows) =>
      rows.map((row) => ({
        title: row.querySelector("th").textContent,
        ...Object.fromEntries([...row.querySelectorAll("td")].map((cell) => [cell.dataset.column, cell.innerText.trim()])),
      })),
    );
  }
}
