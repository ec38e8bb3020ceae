// Has the page work without signal, and changes to a new version only when the user says so and the job is safe.

/** How often a page that stays open looks for a new version, in milliseconds. */
const LOOK_EVERY = 3_600_000;

/** Begins to keep the files of the page on this device; `keeper` keeps the job. */
export async function worksWithoutSignal(keeper) {
  const { serviceWorker } = navigator;
  // A browser that lets nothing be stored has none, or refuses it: the page then works as long as there is signal.
  const registration = await serviceWorker?.register("service.js", { updateViaCache: "none" }).catch(() => null);
  if (!registration) {
    return;
  }
  let isChanging = false;
  let wasControlled = Boolean(serviceWorker.controller);
  const change = async ({ currentTarget }) => {
    if (!(await keeper.isSafe())) {
      currentTarget.textContent = "The job is not kept on this device. Save a copy, then tap here again.";
    } else if (registration.waiting) {
      isChanging = true;
      registration.waiting.postMessage("take over");
    } else {
      location.reload();
    }
  };
  const offer = () => registration.waiting && serviceWorker.controller && offerChange(change);

  serviceWorker.addEventListener("controllerchange", () => {
    if (isChanging) {
      location.reload();
    } else if (wasControlled) {
      // Another window has changed to the new version.
      offerChange(change);
    }
    wasControlled = true;
  });
  registration.addEventListener("updatefound", () => registration.installing?.addEventListener("statechange", offer));
  // One may be waiting since an earlier visit.
  offer();
  lookAgain(registration);
  await serviceWorker.ready;
  tellThatItWorks();
}

/** Looks for a new version when somebody comes back to the page after a while. */
function lookAgain(registration) {
  let looked = Date.now();
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden && Date.now() - looked > LOOK_EVERY) {
      looked = Date.now();
      // Without signal there is nothing to look at.
      registration.update().catch(() => {});
    }
  });
}

function tellThatItWorks() {
  const badge = document.createElement("p");
  badge.className = "signal";
  badge.textContent = "Works without signal";
  document.querySelector(".edge-buttons")?.before(badge);
}

/** Offers the new version in a row of its own below the strip along the upper edge, once. */
function offerChange(change) {
  if (document.getElementById("new-version")) {
    return;
  }
  const button = document.createElement("button");
  Object.assign(button, { type: "button", id: "new-version", textContent: "New version ready: change to it" });
  button.addEventListener("click", change);
  document.querySelector(".edge")?.append(button);
}
