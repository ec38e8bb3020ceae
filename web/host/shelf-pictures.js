// Pictures of jobs, each made and shown once its card comes into sight.
//
// They are shown as images, never as part of the page: what stands in a job can do nothing in there.

import { showNamed } from "./{{shelf-cards.js}}";
import { keepPicture, picture } from "./{{store-more.js}}";
import { load } from "./{{store.js}}";

/** How long a picture may take, in milliseconds; a job that takes longer has none. */
const LONGEST = 20_000;

export class Pictures {
  /** `drawer` is a worker of their own, so that nothing else waits for them; `reports` makes and reads what it is sent. */
  constructor(reports, drawer) {
    Object.assign(this, { reports, drawer, cards: new Map(), shown: [], queue: Promise.resolve() });
    this.sight = new IntersectionObserver((all) => all.filter((one) => one.isIntersecting).forEach(({ target }) => this.seen(target)));
  }

  /** Shows the picture of a job on its card, and what else is looked up of it, once that is seen. */
  watch(row, card) {
    this.cards.set(row, card);
    this.sight.observe(row);
  }

  /** Nothing is watched any more, and nothing made. */
  clear() {
    this.sight.disconnect();
    this.cards.clear();
    this.shown.forEach((address) => URL.revokeObjectURL(address));
    this.shown = [];
    this.drawer.stop("the page is closed");
  }

  seen(row) {
    this.sight.unobserve(row);
    const card = this.cards.get(row);
    const isWanted = () => this.cards.get(row) === card;
    // One after the other. What cannot be had is missing, and the card is complete without it.
    this.queue = this.queue.then(async () => {
      if (isWanted()) {
        await showNamed(row, card.id).catch(() => {});
        const svg = await this.of(card).catch(() => "");
        if (svg && isWanted()) {
          this.show(row, svg);
        }
      }
    });
  }

  show(row, svg) {
    const address = URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" }));
    this.shown.push(address);
    const image = Object.assign(new Image(), { src: address, alt: "" });
    row.querySelector(".shelf-picture").replaceChildren(image);
  }

  /** The picture of a job as it is kept or made; empty when there is none. */
  async of({ id, revision, isTrap }) {
    const kept = await picture(id);
    if (kept?.revision === revision) {
      return kept.svg;
    }
    // What has stopped the program is not tried without being asked for.
    const record = isTrap ? null : await load(id);
    const svg = record && (await this.made(JSON.stringify(JSON.parse(record.text))));
    if (svg) {
      // It can be made again.
      await keepPicture({ id, revision: record.revision, svg }).catch(() => {});
    }
    return svg ?? "";
  }

  /** Has the picture of a job made from its text on one line. */
  async made(text) {
    await this.reports.begun;
    const late = setTimeout(() => this.drawer.stop("it takes too long"), LONGEST);
    try {
      const told = this.reports.taken(await this.drawer.read(this.reports.wanted(`shelf-picture\njob=${text}`)));
      // Where something went wrong, words say so.
      return told.startsWith("<svg") ? told : "";
    } finally {
      clearTimeout(late);
    }
  }
}
