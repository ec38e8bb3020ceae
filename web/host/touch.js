// What fingers bring with them: details that are drawn up and down, a number pad, and the page on which a device is set
// up for gloves and hands. Fetched behind the page, each where it is first needed.
import { followFingers } from "./{{drawer.js}}";
import { styled } from "./{{styled.js}}";

// No dialog or report is open before the page is.
styled(new URL("./{{asked.css}}", import.meta.url));

followFingers(document.querySelector(".drawer"));

// What a finger fills has keys of its own, and needs no keyboard of the system.
addEventListener("pointerdown", ({ target, pointerType }) => {
  if (pointerType === "touch" && target.inputMode === "decimal" && target !== document.activeElement) {
    target.inputMode = "none";
  }
});
addEventListener("focusin", async ({ target }) => {
  if (target.inputMode === "none") {
    (await import("./{{pad.js}}")).open(target);
  }
});

document.getElementById("workshop").addEventListener("click", async () => (await import("./{{workshop.js}}")).openWorkshop());

// What the workshop keeps of such parts as the selected one. Why it cannot be shown stands on the button.
document.addEventListener("click", async ({ target }) => {
  const button = target.closest("[data-page=my-parts]");
  try {
    if (button) {
      await (await import("./{{my-parts.js}}")).openPart(button.dataset.part);
    }
  } catch (error) {
    button.textContent = `Not possible: ${error.message ?? error}`;
  }
});
