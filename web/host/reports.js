// Shows what the worker has to say at length, and does what its buttons ask for.
//
// A place for a report is an element with `data-report`: the words that ask for what it shows. It is filled as soon as
// it is seen, and anew when the job changes, or the positions of its switches. A button with `data-ask` asks with the
// words it carries and the fields of its place, and what is told comes in that place. With `data-long` a second worker
// is asked, so that readings never wait for what takes long; it tells how far it is, and can be stopped.
//
// The markup is the worker's own, which escapes everything that a user wrote.

export class Reports {
  /** `short` is the worker that also answers for readings, `long` the other. */
  constructor(short, long) {
    Object.assign(this, { short, long, number: 0, kept: new Map(), opened: new Set(), roots: [] });
    // What asks before that waits.
    this.begun = new Promise((resolve) => (this.hasBegun = resolve));
    long.onProgress = ([done, total]) => {
      for (const bar of document.querySelectorAll("[data-report] progress")) {
        [bar.max, bar.value] = [total, done];
      }
    };
  }

  /** Begins: `wanted(words)` gives a question as bytes; `taken(bytes)` does what a reply says and returns its markup. */
  begin(wanted, taken) {
    Object.assign(this, { wanted, taken });
    this.hasBegun();
  }

  /** Looks after all places within `root`. */
  watch(root) {
    this.roots.push(root);
    new MutationObserver(() => this.fill()).observe(root, { childList: true, subtree: true });
    root.addEventListener("toggle", ({ target }) => {
      // What opens at the lower end would be told below what is seen.
      const own = target.querySelector(":scope > [data-report]");
      if (own) {
        this.opened[target.open ? "add" : "delete"](own.dataset.report);
      }
      if (own && target.open && target.getBoundingClientRect().top > innerHeight / 2) {
        own.dataset.opened = "";
      }
      this.fill();
    }, true);
    root.addEventListener("click", ({ target }) => this.press(target));
    document.addEventListener("visibilitychange", () => this.keepAwake());
    this.fill();
  }

  /** Fills the places that are seen and not told. */
  fill() {
    for (const place of this.roots.flatMap((root) => [...root.querySelectorAll("[data-report]:not([data-told])")])) {
      // Who comes back from the drawing goes on where the work was.
      if ("long" in place.dataset && !("met" in place.dataset)) {
        place.dataset.met = "";
        place.parentElement.open ||= this.opened.has(place.dataset.report);
      }
      if (!place.closest("details:not([open])")) {
        this.fillOne(place);
      }
    }
    this.keepAwake();
  }

  /** Keeps the screen on while a card sends somebody to the vehicle; a page that is not seen loses that by itself. */
  keepAwake() {
    const cards = [...document.querySelectorAll("[data-awake]")];
    const isWanted = !document.hidden && cards.some((card) => card.checkVisibility());
    if (isWanted && !this.awake) {
      this.awake = navigator.wakeLock?.request("screen").catch(() => null);
    } else if (!isWanted && this.awake) {
      this.awake.then((lock) => lock?.release());
      this.awake = null;
    }
  }

  fillOne(place) {
    const kept = this.kept.get(place.dataset.report);
    if (kept) {
      place.dataset.told = "";
      show(place, kept);
    } else {
      this.ask(place.dataset.report, place, place);
    }
  }

  async press(target) {
    if (target.closest("[data-stop]")) {
      this.long.stop("stopped");
      return;
    }
    const button = target.closest("[data-ask]");
    if (button) {
      const place = button.closest("[data-report]");
      const fields = [...(place?.querySelectorAll("[name]") ?? [])].filter((one) => one.type !== "checkbox" || one.checked);
      const value = (one) => ("today" in one.dataset ? today() : one.value);
      await this.ask([button.dataset.ask, ...fields.map((one) => `${one.name}=${value(one)}`)].join("\n"), place, button);
      // What it began goes on in a place of its own.
      const there = document.querySelector(`[data-report="${button.dataset.opens}"]`)?.parentElement;
      if (there) {
        there.open = true;
        there.scrollIntoView({ block: "start" });
      }
    }
  }

  /**
   * What is told holds no longer: the job has changed, or only the positions. What was asked for by a button stays,
   * marked as older than the job. The app says so while it is still busy, so the asking comes after that.
   */
  renew(ofJob) {
    if (ofJob) {
      this.long.stop("the job has changed");
    }
    // What is being worked out for the job holds in any position.
    const busy = ofJob ? [] : [...document.querySelectorAll("[data-busy]")].map((place) => place.dataset.report);
    for (const [words, kept] of this.kept) {
      if (kept.act) {
        kept.old ||= ofJob;
      } else if (!busy.includes(words) && (ofJob || !kept.long)) {
        this.kept.delete(words);
      }
    }
    for (const place of document.querySelectorAll("[data-told]")) {
      const kept = this.kept.get(place.dataset.report);
      place.classList.toggle("old", kept?.old ?? false);
      if (!kept && !busy.includes(place.dataset.report)) {
        delete place.dataset.told;
      }
      place.querySelectorAll("[data-one] [aria-pressed=true]").forEach((one) => one.setAttribute("aria-pressed", "false"));
    }
    setTimeout(() => this.fill());
  }

  /** Another job is opened: nothing that was told is about it. */
  forget() {
    this.kept.clear();
    this.opened.clear();
    this.renew(true);
  }

  /** What is told on these words, for a place of the caller's own. */
  async tell(words) {
    await this.begun;
    return this.taken(await this.short.read(this.wanted(words)));
  }

  /** Asks for what `words` say; `by` is what wants it, a place or a button. */
  async ask(words, place, by) {
    this.number += 1;
    const number = String(this.number);
    // What a place has worked out is with the worker that did.
    const long = "long" in by.dataset || "long" in (place?.dataset ?? {});
    const act = by !== place && words !== place?.dataset.report && !("own" in by.dataset);
    if (place) {
      place.dataset.told = number;
      place.classList.toggle("asked", true);
    }
    const busy = long ? BUSY.content.firstElementChild.cloneNode(true) : null;
    if (busy && place) {
      place.dataset.busy = "";
      place.prepend(busy);
    }
    let markup;
    try {
      await this.begun;
      const bytes = await (long ? this.long : this.short).read(this.wanted(words));
      markup = this.taken(bytes);
    } catch (error) {
      const again = this.kept.has(place?.dataset.report) ? "" : `<button type="button" data-long data-ask="${words}">Begin again</button>`;
      markup = error.stopped ? again : '<p role="alert">The calculation broke down, so this is not known.</p>';
    }
    busy?.remove();
    if (place && !place.querySelector(".busy")) {
      delete place.dataset.busy;
    }
    // What was asked for later is told instead.
    if (place?.dataset.told !== number) {
      return;
    }
    place.classList.remove("asked");
    if (markup) {
      const kept = { markup, act, long, old: false };
      this.kept.set(place.dataset.report, kept);
      show(place, kept);
    }
    by.closest("[data-one]")?.querySelectorAll("[data-ask]").forEach((one) => one.setAttribute("aria-pressed", String(one === by)));
  }
}

/** The day as the clock on the wall has it, as year, month and day. */
function today() {
  const now = new Date();
  return new Date(now - now.getTimezoneOffset() * 60_000).toISOString().slice(0, 10);
}

const BUSY = document.createElement("template");
BUSY.innerHTML =
  '<p class="busy"><progress aria-label="How far it is"></progress><button type="button" data-stop>Stop</button></p>';

/** Puts markup in a place; what was chosen, opened and in focus there is so again, or what stands for it is. */
function show(place, { markup, old }) {
  const chosen = [...place.querySelectorAll("select, [type=checkbox]")];
  // Of those with a name one is open at a time, and what is told decides which.
  const folded = () => [...place.querySelectorAll("details:not([name])")];
  const open = folded().map((one) => one.open);
  const active = place.contains(document.activeElement) ? document.activeElement : null;
  const card = place.querySelector("[data-awake]")?.dataset.awake;
  place.innerHTML = markup;
  place.classList.toggle("old", old);
  if ("opened" in place.dataset) {
    delete place.dataset.opened;
    place.parentElement.scrollIntoView({ block: "start" });
  }
  for (const { name, value, checked } of chosen) {
    const same = place.querySelector(`[name="${name}"]`);
    if (same?.type === "checkbox") {
      same.checked = checked;
    } else if ([...(same?.options ?? [])].some((option) => option.value === value)) {
      same.value = value;
    }
  }
  folded().forEach((one, i) => (one.open ||= open[i] ?? false));
  const next = place.querySelector("[data-awake]");
  let begins = card && next?.dataset.awake !== card ? next : null;
  if (active) {
    const same = (one) =>
      one.id === active.id && one.name === active.name && ["ask", "change"].every((key) => one.dataset[key] === active.dataset[key]);
    const seen = (one) => one.checkVisibility();
    const again = [...place.querySelectorAll(active.tagName)].filter(seen).find(same);
    const title = again ?? [...place.querySelectorAll("[tabindex]")].find(seen);
    title?.focus({ preventScroll: true });
    // What stands there instead is read from its beginning on.
    begins ??= again ? null : (title?.closest("[data-awake]") ?? title);
  }
  begins?.scrollIntoView({ block: "start" });
}
