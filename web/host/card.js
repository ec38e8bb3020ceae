// The sections of the page “Workshop” about the card of the workshop, and about the file of card and parts.

import * as files from "./{{files.js}}";
import { styled } from "./{{styled.js}}";
import { cardOf, change, keptText, onChange, take, tell } from "./{{workshop-kept.js}}";

/** Most pixels along a side of the picture, and most bytes; the worker refuses more. */
const [PIXELS, BYTES] = [600, 200 * 1024];

/** Most bytes of a picture that is looked at. */
const LARGEST = 20 * 1024 * 1024;

/** The form of the card. What is filled in is kept at once. */
export async function workshopCard() {
  await styled(new URL("./{{card.css}}", import.meta.url));
  const form = document.createElement("form");
  form.className = "card-form";
  const fields = document.createElement("div");
  form.innerHTML = `<div class="card-picture"><img alt="Picture of the workshop" hidden><p class="hint">A picture for the title block: PNG, JPEG or SVG. It is kept small.</p>
    <div class="row"><button type="button" data-do="pick">Choose a picture</button><button type="button" data-do="remove" hidden>Remove the picture</button></div></div>
    <p class="hint" role="status"></p>`;
  form.prepend(fields);
  const say = (text) => (form.querySelector("[role=status]").textContent = text);
  // What is kept one after the other, as each is worked out from what is kept then.
  let [isOwn, last] = [false, Promise.resolve()];
  const fill = async () => {
    // Who fills in the form sees it already, and may be at the next field.
    if (!isOwn) {
      fields.innerHTML = await tell("workshop-card");
    }
    const { picture } = cardOf(await keptText());
    const image = form.querySelector("img");
    image.hidden = form.querySelector("[data-do=remove]").hidden = !picture;
    // Shown as an image, so that nothing in it is ever a part of the page.
    image.src = picture ? `data:image/png;base64,${picture}` : "";
  };
  const keep = (more = {}) => {
    const said = [...fields.querySelectorAll("[name]")].map(({ name, value }) => [name, value]);
    const done = last.then(async () => {
      isOwn = true;
      say((await change("workshop-keep", { ...Object.fromEntries(said), ...more })) || "Kept on this device.");
    });
    last = done.catch(() => {}).finally(() => (isOwn = false));
    return done;
  };
  const guarded = (act) => act().catch((error) => say(`Not kept: ${error.message ?? error}`));
  form.addEventListener("change", () => guarded(keep));
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("click", ({ target }) => {
    const does = target.closest("[data-do]")?.dataset.do;
    if (does === "remove") {
      guarded(() => keep({ picture: "" }));
    } else if (does === "pick") {
      guarded(async () => {
        const file = await picked("image/png,image/jpeg");
        await (file && keep({ picture: await small(file) }));
      });
    }
  });
  onChange(fill);
  await fill();
  return form;
}

/** Saving card and parts as a file, and opening one. */
export async function cardFile() {
  const section = document.createElement("div");
  section.innerHTML = `<p class="hint">Card and parts are kept on this device alone, apart from the jobs. A file takes them to another.</p>
    <div class="row"><button type="button" data-do="save">Save card and parts as a file</button><button type="button" data-do="open">Open one</button>
    <button type="button" data-do="back" hidden>Bring back what was kept</button></div>
    <p class="hint" role="status"></p>`;
  const say = (text) => (section.querySelector("[role=status]").textContent = text);
  const back = section.querySelector("[data-do=back]");
  // What an opened file has taken the place of.
  let replaced = "";
  const acts = {
    async save() {
      const how = await files.save("workshop.json", await tell("workshop-file"));
      const said = { saved: "Saved workshop.json.", shared: "Shared workshop.json.", downloaded: "workshop.json is with your downloads.", cancelled: "Not saved." };
      say(said[how]);
    },
    async open() {
      const file = await picked(".json,.txt,application/json");
      if (file) {
        const before = await keptText();
        const why = await take(await textOf(file));
        say(why ? `${file.name} is not opened, and nothing was changed. ${why}` : "Opened. It stands in place of what was kept here.");
        replaced = why || !before ? replaced : before;
        back.hidden = !replaced;
      }
    },
    async back() {
      const why = await take(replaced);
      say(why || "What was kept here before is back.");
      [replaced, back.hidden] = ["", true];
    },
  };
  section.addEventListener("click", ({ target }) => {
    const does = target.closest("[data-do]")?.dataset.do;
    acts[does]?.().catch((error) => say(`Not possible: ${error.message ?? error}`));
  });
  return section;
}

/** The text of a file; what is no text is not taken for one. */
async function textOf(file) {
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(await file.arrayBuffer());
  } catch {
    throw new Error(`${file.name} is not UTF-8 text, and nothing was changed`);
  }
}

/** A file that the user picks; nothing when none is. */
function picked(accept) {
  return new Promise((resolve) => {
    const input = Object.assign(document.createElement("input"), { type: "file", accept, hidden: true });
    // Some browsers open nothing for an input that is not in the page.
    document.body.append(input);
    const finish = (file) => {
      input.remove();
      resolve(file);
    };
    input.addEventListener("cancel", () => finish());
    input.addEventListener("change", () => finish(input.files[0]));
    input.click();
  });
}

/** A picture as a PNG of few pixels, in base64. It is drawn, so whatever else is in the file stays behind. */
async function small(file) {
  if (file.size > LARGEST) {
    throw new Error("the file is too large");
  }
  // Other sorts may be small on file and take for ever to draw.
  if (!/^image\/(png|jpeg)$/.test(file.type)) {
    throw new Error("choose a PNG or a JPEG");
  }
  const url = URL.createObjectURL(file);
  try {
    const image = Object.assign(new Image(), { src: url });
    await image.decode().catch(() => {
      throw new Error("the file is no picture that can be shown");
    });
    const [wide, high] = [image.naturalWidth || PIXELS, image.naturalHeight || PIXELS / 2];
    for (let most = PIXELS; most >= 50; most *= 0.75) {
      const base64 = drawn(image, wide, high, Math.min(1, most / Math.max(wide, high)));
      if (base64.length * 0.75 <= BYTES) {
        return base64;
      }
    }
    throw new Error("the picture stays too large");
  } finally {
    URL.revokeObjectURL(url);
  }
}

function drawn(image, wide, high, scale) {
  const canvas = document.createElement("canvas");
  [canvas.width, canvas.height] = [wide, high].map((side) => Math.max(1, Math.round(side * scale)));
  canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
  return canvas.toDataURL("image/png").split(",")[1];
}
