// Asks the browser, once on a device, not to clear what is kept when room gets short. Fetched with the first kept change.

const ASKED = "loomwright.asked-to-stay";

try {
  if (!localStorage.getItem(ASKED)) {
    localStorage.setItem(ASKED, "yes");
    navigator.storage?.persist?.().catch(() => {});
  }
} catch {
  // Where no answer can be remembered, the question would come again at every visit.
}
