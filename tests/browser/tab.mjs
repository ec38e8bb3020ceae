// Finds its way on a page by the Tab key alone.

import assert from "node:assert/strict";

/** Most presses before something counts as out of reach. */
const MOST = 120;

export class Tab {
  constructor(page) {
    this.page = page;
  }

  press(key) {
    return this.page.keyboard.press(key);
  }

  /** Presses Tab until `is(what)` holds in the page. */
  async to(is, what) {
    for (let n = 0; n < MOST; n += 1) {
      await this.press("Tab");
      if (await this.page.evaluate(is, what)) {
        return;
      }
    }
    assert.fail(`the Tab key does not come to ${what}`);
  }

  /** To the button with this caption, and presses it. */
  async button(caption) {
    await this.to((caption) => document.activeElement.tagName === "BUTTON" && document.activeElement.innerText.trim() === caption, caption);
    await this.press("Enter");
  }

  /** To the field whose name begins so, and types into it. */
  async field(name, text) {
    await this.to((name) => document.activeElement.name?.startsWith(name) ?? false, name);
    await this.page.keyboard.type(text);
  }

  /** To what unfolds under this title, and unfolds it. */
  async summary(title) {
    await this.to((title) => document.activeElement.tagName === "SUMMARY" && document.activeElement.innerText.trim().startsWith(title), title);
    await this.press("Enter");
  }
}
