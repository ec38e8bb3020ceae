// The parts that the workshop fits again and again: the section of the page “Workshop”, and what is opened from a part
// of the drawing. The worker makes the lists; see `web/worker/src/report/workshop/`.

import { styled } from "./{{styled.js}}";
import { change, onChange, tell } from "./{{workshop-kept.js}}";

/** The list of them. */
export async function myParts() {
  await styled(new URL("./{{card.css}}", import.meta.url));
  const section = document.createElement("div");
  section.className = "my-parts";
  section.innerHTML = `<div></div><p class="hint" role="status"></p>`;
  const [list, status] = section.children;
  const fill = async () => (list.innerHTML = await tell("workshop-parts"));
  section.addEventListener("click", async ({ target }) => {
    const button = target.closest("[data-do]");
    const own = button?.closest("[data-own]");
    if (!own) {
      return;
    }
    const does = button.dataset.do;
    // A first press asks, a second one does it: what is deleted cannot be brought back.
    if (does === "delete" && !button.dataset.sure) {
      button.dataset.sure = "yes";
      button.textContent = "Really delete it";
      return;
    }
    try {
      if (does === "put") {
        await tell(`workshop-put ${own.dataset.own}`);
        status.textContent = "It is on the drawing. Undo takes it back.";
      } else {
        status.textContent = (await change(`workshop-${does} ${own.dataset.own}`, filledIn(own))) || "Kept on this device.";
      }
    } catch (error) {
      status.textContent = `Not possible: ${error.message ?? error}`;
    }
  });
  onChange(fill);
  await fill();
  return section;
}

const PAGE = document.createElement("template");
PAGE.innerHTML = `<dialog class="workshop my-part" aria-labelledby="my-part-title">
  <div class="dialog-head"><h2 id="my-part-title" tabindex="-1">My parts</h2><button type="button">Close</button></div>
  <div class="my-parts"></div><p class="hint" role="status"></p>
</dialog>`;

/** Opens what can be done with a part of the drawing: keep it, or fill it with one that is kept. */
export async function openPart(id) {
  await styled(new URL("./{{card.css}}", import.meta.url));
  document.querySelector("dialog.my-part")?.remove();
  const dialog = PAGE.content.cloneNode(true).firstChild;
  const [head, body, status] = dialog.children;
  head.querySelector("button").addEventListener("click", () => dialog.close());
  dialog.addEventListener("close", () => dialog.remove());
  body.innerHTML = await tell(`workshop-part ${id}`);
  body.addEventListener("click", async ({ target }) => {
    const button = target.closest("[data-do]");
    try {
      if (button?.dataset.do === "fill") {
        await tell(`workshop-fill ${id} ${button.dataset.own}`);
        dialog.close();
      } else if (button?.dataset.do === "save") {
        status.textContent = (await change(`workshop-save ${id}`, filledIn(body))) || "Saved to your parts.";
      }
    } catch (error) {
      status.textContent = `Not possible: ${error.message ?? error}`;
    }
  });
  document.body.append(dialog);
  dialog.showModal();
  head.querySelector("h2").focus();
}

function filledIn(place) {
  return Object.fromEntries([...place.querySelectorAll("[name]")].map(({ name, value }) => [name, value]));
}
