import assert from "node:assert/strict";
import { pause } from "./app.mjs";

/** The plan as it is seen. */
export class PlanOnPage {
  constructor(app) {
    Object.assign(this, { app, page: app.page });
  }

  async drawn() {
    await this.page.waitForSelector(".plan-sheet svg");
    await this.app.frames();
  }

  async until(holds) {
    for (let i = 0; i < 60; i += 1) {
      if (await holds()) {
        await this.app.frames();
        return;
      }
      await pause(50);
    }
    assert.ok(await holds(), `it did not come to that; the app says “${await this.app.status()}”`);
  }

  async place(id) {
    return (await this.app.job()).plan.places.find((place) => place.id === id);
  }

  async route(id) {
    return (await this.app.job()).plan.routes.find((route) => route.id === id);
  }

  /** Where a point of the vehicle, in centimetres, is seen. */
  async seen(x, y) {
    await this.app.frames();
    return this.page.$eval(
      ".plan-sheet svg",
      (svg, x, y) => {
        const point = new DOMPoint(x, y).matrixTransform(svg.getScreenCTM());
        return [point.x, point.y];
      },
      x,
      y,
    );
  }

  async of(id) {
    const place = await this.place(id);
    return this.seen(place.x_cm, place.y_cm);
  }

  async scale() {
    await this.app.frames();
    return this.page.$eval(".plan-sheet svg", (svg) => svg.getScreenCTM().a);
  }

  /** What is chosen, once something of this sort is. */
  async chosen(sort) {
    const chosen = await this.page.waitForSelector(`.plan-sheet .${sort}.chosen`);
    await this.page.waitForSelector(`.plan-form [data-change^="plan-${sort} "]`);
    return chosen.evaluate((one, sort) => one.dataset[sort], sort);
  }

  async fill(words, text) {
    const input = await this.page.waitForSelector(`[data-change="${words}"]`);
    await this.app.press(input);
    await input.evaluate((one) => one.select());
    await this.page.keyboard.type(text);
    await this.page.keyboard.press("Enter");
    await this.app.frames();
  }

  async press(words) {
    await this.app.press(await this.page.waitForSelector(`.plan-form [data-ask="${words}"]`));
  }

  async undo(caption, holds) {
    await this.app.pressButton(caption, ".tools");
    await this.until(holds);
  }
}
